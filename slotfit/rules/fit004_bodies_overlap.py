"""FIT004: two bodies in one place."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, written
from slotfit.slot_row import bodies_by_position


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """One body a position of a slot row."""
    for (owner, row, position), seats in bodies_by_position(problem, seating.seats).items():
        if len({seat.site for seat in seats}) > 1:
            thick = {seat.item for seat in seats if seat.site != seats[0].site}
            spans = [problem.item[item].part.span("thickness") for item in sorted(thick)]
            yield AtMost(
                Ground(
                    RULE.id,
                    f"position {position} of row {row} of {owner} has room for one body",
                    written(*spans),
                ),
                tuple((seat.key, 1) for seat in seats),
                1,
                "bodies",
            )


RULE = PlanRule(
    id="FIT004",
    title="two bodies in one place",
    why="A thick card covers the positions beside its own; nothing else fits there.",
    source="CEM, slot pitch 20.32 mm, from memory",
    state=state,
)
