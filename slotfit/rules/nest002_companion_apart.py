"""NEST002: one plug of a part without the other."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import Clause, Ground, Needs
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Both plugs seated in one machine, or neither."""
    for item in problem.items:
        if item.companion_of is None:
            continue
        pair = (item.id, item.companion_of)
        for this, other in (pair, pair[::-1]):
            for seat in seating.by_item.get(this, []):
                reason = f"{item.companion_of} works only with its plug {item.id} connected too"
                yield Needs(
                    Ground(RULE.id, reason, written(item.part.span())),
                    seat.key,
                    in_machine(seating.by_item.get(other, []), seat.offer.machine),
                )


def in_machine(seats: list[Seat], machine: str) -> tuple[str, ...]:
    """Keys of the seats in one machine."""
    return tuple(seat.key for seat in seats if seat.offer.machine == machine)


RULE = PlanRule(
    id="NEST002",
    title="one plug of a part without the other",
    why="A part with two plugs works with both connected, in the same machine.",
    source="part description, `extra_plugs`",
    state=state,
)
