"""WISH005: parts that belong together apart."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from slotfit.model.build import Group
from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule, place_in, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Of each two parts that are placed, the second where the first is."""
    for group in problem.together:
        for this, other in combinations(group.parts, 2):
            these, others = seating.by_item.get(this, []), seating.by_item.get(other, [])
            reason = f"{this} and {other} are to share a {group.by.replace('-', ' ')}"
            ground = Ground(RULE.id, reason, written(group.span()))
            for place in dict.fromkeys(place_in(group.by, seat) for seat in these):
                seats = [
                    *(seat for seat in these if place_in(group.by, seat) == place),
                    *elsewhere(group, others, place),
                ]
                yield AtMost(ground, tuple((seat.key, 1) for seat in seats), 1, "parts")


def elsewhere(group: Group, seats: list[Seat], place: str | None) -> Iterator[Seat]:
    """Seats in other places; two parts that are in no such place at all are not together."""
    for seat in seats:
        if place is None or place_in(group.by, seat) != place:
            yield seat


RULE = PlanRule(
    id="WISH005",
    title="parts that belong together apart",
    why="The build file asks for them together.",
    source="build file, `together`",
    state=state,
    severity="asks",
)
