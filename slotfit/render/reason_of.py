"""Why a part is where it is, as far as its own seats tell; `slotfit why` prices the rest."""

from __future__ import annotations

from slotfit.hardware.flow import capacity
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem
from slotfit.model.seat import Refusal, Seat, Seating
from slotfit.natural_order import natural

MOST_NAMED = 3
"""More receptacles than these are only counted."""


def reason_of(problem: Problem, seating: Seating, plan: Plan, seat: Seat) -> str:
    """One or two sentences without the last full stop; empty for parts on other parts."""
    if seat.offer.depth or not problem.item[seat.item].part.links:
        return ""
    best = best_by_site(seating, seat.item)
    holders = {other.site: other.item for other in plan.seats}
    here = outcome(seat)
    others = {site: value for site, value in best.items() if site != seat.site}
    if not others:
        return nowhere_else(seating, seat)
    better = [site for site, value in others.items() if value > here]
    if better:
        return f"on its own it would do better in {named(better, holders)}"
    equal = [site for site, value in others.items() if value == here]
    if equal:
        return f"on its own it would do as well in {named(equal, holders)}"
    return f"does best here; less in {named(list(others), holders)}"


def outcome(seat: Seat) -> tuple[int, int, int]:
    """What a seat is worth to its part: links alive, MB/s, and nothing unproven."""
    return (seat.alive, capacity(seat), -len(seat.facts))


def best_by_site(seating: Seating, item: str) -> dict[str, tuple[int, int, int]]:
    """Board receptacle -> the part's best outcome there, whatever else sits on the board."""
    best: dict[str, tuple[int, int, int]] = {}
    for seat in seating.every(item):
        if not seat.offer.depth:
            best[seat.site] = max(best.get(seat.site, (0, 0, 0)), outcome(seat))
    return best


def named(sites: list[str], holders: dict[str, str]) -> str:
    """`slot3 (holds cache), slot5 (empty) and 2 more`."""
    ordered = sorted(sites, key=natural)
    texts = [
        f"{site} (holds {holders[site]})" if site in holders else f"{site} (stays empty)"
        for site in ordered[:MOST_NAMED]
    ]
    more = len(ordered) - MOST_NAMED
    return ", ".join(texts) + (f" and {more} more" if more > 0 else "")


def nowhere_else(seating: Seating, seat: Seat) -> str:
    """The only receptacle that takes it, with the others' reasons, nearest miss first."""
    misses: dict[str, str] = {}
    for refusal in sorted(refusals_of(seating, seat.item), key=nearness):
        if refusal.seat.site != seat.site:
            misses.setdefault(refusal.seat.site, refusal.objections[0].reason)
    if not misses:
        return "no other receptacle has its form"
    reasons = list(dict.fromkeys(misses[site] for site in sorted(misses, key=natural)))
    more = len(reasons) - MOST_NAMED
    text = "; ".join(reasons[:MOST_NAMED]) + (f"; and {more} more" if more > 0 else "")
    return f"nothing else takes it: {text}"


def nearness(refusal: Refusal) -> tuple[int, int]:
    """The nearest miss first: most links alive, fewest objections."""
    return (-refusal.seat.alive, len(refusal.objections))


def refusals_of(seating: Seating, item: str) -> list[Refusal]:
    """The part's refused seats on boards, but for receptacles of another form."""
    return [
        refusal
        for refusal in seating.refusals
        if refusal.seat.item == item
        and not refusal.seat.offer.depth
        and all(objection.rule != "FIT001" for objection in refusal.objections)
    ]
