"""FIT004: two bodies in one place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from slotfit.hardware.room import Position, bodies_by_position
from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """One body a position of a slot row."""
    names = {(*site.row, site.receptacle.position): site.id for site in problem.sites if site.row}
    for position, seats in bodies_by_position(problem, seating.seats).items():
        if len({seat.site for seat in seats}) > 1:
            yield AtMost(
                ground(problem, position, seats, names),
                tuple((seat.key, 1) for seat in seats),
                1,
                "bodies",
            )


def ground(
    problem: Problem, position: Position, seats: list[Seat], names: Mapping[Position, str]
) -> Ground:
    """Which bodies would meet there."""
    owner, row, number = position
    here = names.get(position, f"position {number} of row {row} of {owner}")
    reaching = sorted({seat.item for seat in seats if seat.site != names.get(position)})
    bodies = [f"{item} ({problem.item[item].part.thickness} slots thick)" for item in reaching]
    verb = "reaches" if len(bodies) == 1 else "reach"
    spans = [problem.item[item].part.span("thickness") for item in reaching]
    reason = f"{here} has room for one body, and {' or '.join(bodies)} {verb} into it from beside"
    return Ground(RULE.id, reason, written(*spans))


RULE = PlanRule(
    id="FIT004",
    title="two bodies in one place",
    why="A thick card covers the positions beside its own; nothing else fits there.",
    source="CEM slot pitch of 20.32 mm, from memory",
    state=state,
)
