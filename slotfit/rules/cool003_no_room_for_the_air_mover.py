"""COOL003: no room for the air mover."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, length_room_mm, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A card and the air mover on it within the room for length."""
    for seat in seating.seats:
        adds = problem.item[seat.item].part.adds_length_mm
        owner = problem.item.get(problem.site[seat.site].owner)
        if not adds or owner is None or owner.part.length_mm is None:
            continue
        for below in seating.by_item.get(owner.id, []):
            room = length_room_mm(problem, problem.site[below.site], below.offer.machine)
            if room is not None and owner.part.length_mm + adds > room:
                yield AtMost(
                    Ground(
                        RULE.id,
                        f"{owner.id} with {seat.item} is {owner.part.length_mm + adds:g} mm long "
                        f"and {below.site} has room for {room:g} mm",
                        written(problem.item[seat.item].part.span("adds_length_mm")),
                    ),
                    ((below.key, 1), (seat.key, 1)),
                    1,
                )


RULE = PlanRule(
    id="COOL003",
    title="no room for the air mover",
    why="A blower or duct makes the card it is mounted on longer.",
    source="part description, `adds_length_mm`; the room from chassis and board",
    state=state,
)
