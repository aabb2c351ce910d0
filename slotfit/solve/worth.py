"""What the preferences look at in one seat: two seats of equal worth are the same to them."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.costs import capability, dark_endpoints, far, moved
from slotfit.hardware.flow import Path, Ways, capacity, demand_of, met, serving
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat, Seating


@dataclass(frozen=True, slots=True)
class Worth:
    """A seat's costs, the facts it rests on, and what it moves where."""

    dark: int
    far: int
    moved: int
    capability: int
    facts: tuple[str, ...]
    short: int
    """MB/s of its demand that do not get through its own links, in and out together."""
    passes: Ways
    """MB/s that do."""
    carries: int
    """MB/s that its own links could carry for what sits on it."""
    hops: Path


def worths(problem: Problem, seating: Seating) -> dict[str, Worth]:
    """Seat key -> worth."""
    serves = serving(problem)
    return {seat.key: worth_of(problem, serves, seat) for seat in seating.seats}


def worth_of(problem: Problem, serves: frozenset[str], seat: Seat) -> Worth:
    """The worth of one seat."""
    item = problem.item[seat.item]
    wanted = demand_of(item, seat, item.id in serves)
    passes = met(wanted, seat)
    return Worth(
        dark=dark_endpoints(item, seat),
        far=far(item, seat),
        moved=moved(problem, seat),
        capability=capability(problem, problem.site[seat.site]),
        facts=tuple(sorted(fact.id for fact in seat.facts)),
        short=sum(wanted) - sum(passes),
        passes=passes,
        carries=capacity(seat),
        hops=seat.offer.hops,
    )
