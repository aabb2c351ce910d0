"""WISH007: required part without a seat."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, ExactlyOne, Ground
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A required part in exactly one seat, an optional one in at most one."""
    for item in problem.items:
        keys = tuple(seat.key for seat in seating.by_item.get(item.id, []))
        if item.wish.required:
            ground = Ground(RULE.id, f"{item.id} has to be placed", written(item.wish.span()))
            yield ExactlyOne(ground, keys)
        else:
            ground = Ground(RULE.id, f"{item.id} is one part", written(item.wish.span()))
            yield AtMost(ground, tuple((key, 1) for key in keys), 1)


RULE = PlanRule(
    id="WISH007",
    title="required part without a seat",
    why="A part is required unless the build file says otherwise.",
    source="build file, `required`",
    state=state,
    severity="asks",
)
