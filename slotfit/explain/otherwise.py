"""What becomes of the best plan if a fact is false, or a part is to go elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Protocol

from slotfit.explain.amend import with_wish
from slotfit.explain.entries import first_alike
from slotfit.explain.told import IfFalse, Moved, Otherwise
from slotfit.model.placed import Placed
from slotfit.model.problem import Problem
from slotfit.model.seat import Fact, Seat, Seating
from slotfit.natural_order import natural


class Placer(Protocol):
    """Places a problem on the seats given, or on all that its rules allow."""

    def __call__(self, problem: Problem, *, seating: Seating | None = None) -> Placed: ...


def if_false(placed: Placed, place: Placer) -> Iterator[IfFalse]:
    """Each fact the plan rests on, with the best plan that does without it."""
    plan = placed.answer.plan
    for fact in sorted(plan.facts, key=lambda fact: natural(fact.id)) if plan else ():
        other = place(placed.problem, seating=without_fact(placed, fact))
        yield IfFalse(fact, Otherwise(other, moved(placed, other)))


def without_fact(placed: Placed, fact: Fact) -> Seating:
    """
    The seats that do not rest on the fact, nor on the same fact about a part that is alike.

    Parts alike stay alike: what is false of one is false of the other. Where another part could
    settle the fact (an air mover), these seats are left out all the same.
    """
    first = first_alike(placed.problem)
    false = meant(fact, first)
    kept: dict[str, Seat] = {}
    for seat in placed.seating.seats:  # a part's seats come before those of what sits on it
        parents = tuple(key for key in seat.parents if key in kept)
        rests = any(meant(other, first) == false for other in seat.facts)
        if not rests and (parents or not seat.parents):
            kept[seat.key] = seat._replace(parents=parents)
    return replace(placed.seating, seats=tuple(kept.values()))


def meant(fact: Fact, first: dict[str, str]) -> str:
    """The fact's words with each part called as the first of those that are alike."""
    return " ".join(first.get(word, word) for word in fact.id.split())


def elsewhere(placed: Placed, item: str, place: Placer) -> Otherwise | None:
    """
    The best plan in which a part is not where it is now; None if it is nowhere now.

    Of parts that are alike none goes there: another one in its stead would be the same plan.
    """
    plan = placed.answer.plan
    seat = next((seat for seat in plan.seats if seat.item == item), None) if plan else None
    if seat is None:
        return None
    first = first_alike(placed.problem)
    problem = placed.problem
    for other, one in first.items():
        if one == first[item]:
            ban = problem.item[other].wish.ban
            problem = with_wish(problem, other, ban=(*ban, seat.site))
    other_plan = place(problem)
    return Otherwise(other_plan, moved(placed, other_plan))


def moved(placed: Placed, other: Placed) -> tuple[Moved, ...]:
    """Parts that go elsewhere in the other plan; none if there is no such plan."""
    if placed.answer.plan is None or other.answer.plan is None:
        return ()
    was = {seat.item: seat.site for seat in placed.answer.plan.seats}
    now = {seat.item: seat.site for seat in other.answer.plan.seats}
    return tuple(
        Moved(item, was.get(item, ""), now.get(item, ""))
        for item in sorted(was.keys() | now.keys(), key=natural)
        if was.get(item) != now.get(item)
    )
