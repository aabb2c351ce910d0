"""What decides between a plan and the same with one part elsewhere, or with one part more."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from slotfit.engine.referee import stage_values
from slotfit.engine.seats import is_structure
from slotfit.listing import listed
from slotfit.model.clause import Clause, arrangement, atoms_of, holds
from slotfit.model.keys import GroupKey
from slotfit.model.plan import Placed, Plan
from slotfit.model.seat import Seat, Seating

WORSE = {
    "demand": "what required parts are said to move would not get through",
    "optional-parts": "optional parts would be left out",
    "optional-demand": "what parts are said to move would not get through",
    "dark-endpoints": "endpoints would not be detected",
    "bandwidth": "less would get through",
    "unproven-facts": "more would rest on what is not proven",
    "locality": "a part would be attached to another processor than it should be",
    "cooling": "a card would lose its air",
    "moves": "more would move",
    "reserve": "more capable receptacles would be taken",
    "spare-lanes": "less would be left to the placed parts beyond what they move",
}
"""What is worse in a plan that loses in a preference."""


@dataclass(frozen=True)
class Beside:
    """A plan, to be held against the same with one part elsewhere, or with one more."""

    placed: Placed
    plan: Plan

    @cached_property
    def about(self) -> Mapping[str, list[Clause]]:
        """Atom -> the clauses that speak of it, but for what a group and a seat are."""
        found: defaultdict[str, list[Clause]] = defaultdict(list)
        for clause in self.placed.clauses:
            if not is_structure(self.placed.seating, clause):
                for atom in dict.fromkeys(atoms_of(clause)):
                    found[atom].append(clause)
        return found

    @cached_property
    def values(self) -> Mapping[str, int]:
        """What the plan costs in every stage."""
        return stage_values(self.placed.problem, self.plan)

    def decides(self, seats: Iterable[Seat]) -> str:
        """
        Why a part is in none of these seats, all else where it is: a rule, or the preference.

        Of the seats and their arrangements that with which least is lost is told of.
        """
        every = ((seat, way) for seat in seats for way in seat.arrangements or (None,))
        return min(self.loss(with_seat(self.placed.seating, self.plan, *one)) for one in every)[1]

    def loss(self, other: Plan) -> tuple[int, str]:
        """How much speaks against the other plan, and what."""
        stages = [one.stage for one in self.plan.stages]
        gone = {one.part for one in self.plan.seats} - {one.part for one in other.seats}
        if gone:
            as_it_is = "as it is" if len(gone) == 1 else "as they are"
            return len(stages) + 2, f"{listed(gone)} could not stay {as_it_is}"
        chosen = atoms_in(other)
        changed = sorted(chosen ^ atoms_in(self.plan))
        for clause in (clause for atom in changed for clause in self.about.get(atom, ())):
            if not holds(clause, chosen):
                return len(stages) + 1, clause.reason.text
        theirs = stage_values(self.placed.problem, other)
        for left, stage in zip(range(len(stages), 0, -1), stages, strict=True):
            if theirs[stage] != self.values[stage]:
                return left, f"{stage}: {WORSE[stage]}"
        return 0, "as good: the order of names decides"


def atoms_in(plan: Plan) -> set[str]:
    """The seats and arrangements that are chosen."""
    ways = {arrangement(group, way) for group, way in plan.arrangements.items()}
    return ways | {seat.key for seat in plan.seats}


def with_seat(seating: Seating, plan: Plan, seat: Seat, way: str | None) -> Plan:
    """The plan with a part in that seat and what it carries along; who has no seat then is out."""
    places = {one.part: one.receptacle for one in plan.seats} | {seat.part: seat.receptacle}
    arrangements, group = dict(plan.arrangements), seat.upstream.group
    if group and way is not None:
        arrangements[group] = way
    return Plan(reseated(seating, places, arrangements), arrangements)


def reseated(
    seating: Seating, places: Mapping[str, str], arrangements: Mapping[GroupKey, str]
) -> tuple[Seat, ...]:
    """The seats that parts have in these places under these arrangements."""
    every = (one for place in places.items() for one in seating.by_place.get(place, ()))
    chosen: dict[str, Seat] = {}
    for seat in sorted(every, key=lambda seat: seat.upstream.depth):
        way = arrangements.get(seat.upstream.group) if seat.upstream.group else None
        stands = not seat.parents or not chosen.keys().isdisjoint(seat.parents)
        if stands and (not seat.arrangements or way in seat.arrangements):
            chosen[seat.key] = seat
    return tuple(chosen.values())
