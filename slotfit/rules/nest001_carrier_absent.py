"""NEST001: receptacle on a part that is not there."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import Clause, Ground, Needs
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A nested seat needs one of its owner's seats that make this offer."""
    for seat in seating.seats:
        if seat.parents:
            owner = problem.site[seat.site].owner
            yield Needs(
                Ground(RULE.id, f"{seat.site} is there only where {owner} is"),
                seat.key,
                seat.parents,
            )


RULE = PlanRule(
    id="NEST001",
    title="receptacle on a part that is not there",
    why="A socket comes with the part that it is on, and offers what that part's own seat gives it.",
    source="what nesting is",
    state=state,
)
