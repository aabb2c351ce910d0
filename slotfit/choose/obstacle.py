"""What stands in a part's way, in a few words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from slotfit.check.answer import Reason
from slotfit.check.price import atoms_chosen
from slotfit.listing import listed
from slotfit.model.clause import Clause, atoms_of, holds
from slotfit.model.placed import Placed
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem
from slotfit.model.seat import Objection, Refusal, Seat, Seating
from slotfit.natural_order import natural

PLUG, TAKEN, OVERLAP, CARRIER, PLUGS = "FIT001", "FIT003", "FIT004", "NEST001", "NEST002"

Clauses = defaultdict[str, list[Clause]]
"""Atom -> the clauses that speak of it."""

FEW = 3
"""So many receptacles are named; of more it is said that it is all of them."""


@dataclass(frozen=True, slots=True)
class Obstacle:
    """The nearest reason against a part."""

    rule: str
    """Empty: no rule forbids it; a plan with it was not found in time."""
    site: str
    """The receptacle that comes nearest; empty: it is the same everywhere."""
    text: str
    """A clause that fits after "because", the receptacle left out."""

    def __str__(self) -> str:
        return f"{self.site}: {self.text}" if self.site else self.text


def obstacles(placed: Placed, plan: Plan, items: Iterable[str]) -> dict[str, Obstacle]:
    """Why each of these parts has no seat beside a plan."""
    chosen = atoms_chosen(plan)
    about: Clauses = defaultdict(list)
    for clause in placed.clauses:
        for atom in dict.fromkeys(atoms_of(clause)):
            about[atom].append(clause)
    return {item: obstacle(placed, plan, chosen, about, item) for item in items}


def obstacle(
    placed: Placed, plan: Plan, chosen: AbstractSet[str], about: Clauses, item: str
) -> Obstacle:
    """What the seat rules say against a part, or else what is in its way."""
    seats = placed.seating.by_item.get(item, [])
    if not seats:
        return refusal(placed.problem, placed.seating, item)
    best: dict[str, list[Reason]] = {}
    for seat in seats:
        if not seat.parents or not chosen.isdisjoint(seat.parents):
            found = told_once([*against(seat, plan, {*chosen, seat.key}, about[seat.key])])
            best[seat.site] = min(best.get(seat.site, found), found, key=len)
    if not best:
        owners = {placed.problem.site[seat.site].owner for seat in seats}
        return Obstacle(CARRIER, "", f"what it could sit on has no seat: {listed(owners)}")
    return nearest(best)


def against(
    seat: Seat, plan: Plan, with_it: AbstractSet[str], clauses: Iterable[Clause]
) -> Iterator[Reason]:
    """Clauses that would not hold if a seat were taken as well, and whose seats they bind."""
    for clause in clauses:
        if not holds(clause, with_it):
            atoms = atoms_of(clause)
            there = tuple(s.item for s in plan.seats if s.key in atoms and s.item != seat.item)
            yield Reason(clause.ground.rule, clause.ground.reason, clause.ground.spans, there)


def told_once(reasons: list[Reason]) -> list[Reason]:
    """Who sits in a receptacle covers it too: that is one reason."""
    taken = {reason.blockers for reason in reasons if reason.rule == TAKEN}
    return [one for one in reasons if one.rule != OVERLAP or one.blockers not in taken]


def nearest(best: dict[str, list[Reason]]) -> Obstacle:
    """The receptacle with the fewest reasons; that all of them are taken is told as one thing."""
    if all(any(one.rule in (TAKEN, OVERLAP) for one in found) for found in best.values()):
        return Obstacle(TAKEN, "", all_taken(sorted(best, key=natural)))
    free = {site: found for site, found in best.items() if not taken(found)}
    site = min(free, key=lambda name: (len(free[name]), natural(name)))
    if not free[site]:
        return Obstacle("", site, "nothing forbids it there; time ran out")
    return Obstacle(free[site][0].rule, site, free[site][0].text)


def taken(reasons: Sequence[Reason]) -> bool:
    """Whether something is in its place."""
    return any(one.rule in (TAKEN, OVERLAP) for one in reasons)


def all_taken(sites: Sequence[str]) -> str:
    """`slot1 and slot3 are taken`; many are not named."""
    if len(sites) > FEW:
        return f"all {len(sites)} receptacles that it could have are taken or covered"
    verb = "are" if len(sites) > 1 else "is"
    return f"{listed(sites)}, all that it could have, {verb} taken or covered"


def refusal(problem: Problem, seating: Seating, item: str) -> Obstacle:
    """Why no receptacle takes a part: what is said of all of them, or of the nearest."""
    refused = [one for one in seating.refusals if one.seat.item == item]
    told = [one for one in refused if all(other.rule != PLUG for other in one.objections)]
    if not told:
        form = problem.item[item].part.plug.form
        return Obstacle(PLUG, "", f"no receptacle takes a plug of form {form}")
    said: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    for one in told:
        for objection in one.objections:
            said[objection.rule, objection.reason].add(one.seat.key)
    for (rule, reason), keys in said.items():
        if len(keys) == len(told):
            return Obstacle(rule, told[0].seat.site if len(told) == 1 else "", reason)
    closest = min(told, key=closeness)
    first: Objection = closest.objections[0]
    return Obstacle(first.rule, closest.seat.site, first.reason)


def closeness(refused: Refusal) -> tuple[object, ...]:
    """Fewest objections first, then by name."""
    return (len(refused.objections), natural(refused.seat.site))
