"""WISH005: parts that belong together apart."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from slotfit.model.clause import Clause, Ground, Needs
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, place_in, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Each part of the group where the next one is, round in a ring."""
    for group in problem.together:
        for this, other in pairwise((*group.parts, group.parts[0])):
            for seat in seating.by_item.get(this, []):
                where = place_in(group.by, seat)
                yield Needs(
                    Ground(
                        RULE.id,
                        f"{this} and {other} are to share a {group.by.replace('-', ' ')}",
                        written(group.span()),
                    ),
                    seat.key,
                    tuple(
                        s.key
                        for s in seating.by_item.get(other, [])
                        if where is not None and place_in(group.by, s) == where
                    ),
                )


RULE = PlanRule(
    id="WISH005",
    title="parts that belong together apart",
    why="The build file asks for them together.",
    source="build file, `together`",
    state=state,
    severity="asks",
)
