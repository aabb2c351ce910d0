"""Parts that are alike, kept in the order of their names: seats that no plan in order takes."""

from __future__ import annotations

from slotfit.model.problem import Problem
from slotfit.model.seat import Alike, Seating
from slotfit.natural_order import by_name
from slotfit.seating.alike import carries_itself, kinds


def alike(problem: Problem, seating: Seating) -> list[Alike]:
    """Every set of two or more parts that may swap."""
    homes = {item.id: {seat.site for seat in seating.every(item.id)} for item in problem.items}
    members = [kind.items for kind in seating.in_order] if seating.in_order else kinds(problem)
    found = [
        Alike(items, tuple(sorted(homes[items[0]], key=by_name)))
        for items in members
        if len(items) > 1 and all(homes[name] == homes[items[0]] for name in items)
    ]
    return [kind for kind in found if not carries_itself(problem, homes.__getitem__, kind)]


def left_out(problem: Problem, seating: Seating, kinds: list[Alike]) -> set[str]:
    """Keys of seats that no plan in order takes: out of a part's window, or on a part that is."""
    gone: set[str] = set()
    for kind in kinds:
        for number, name in enumerate(kind.items):
            kept = kind.sites[kind.window(number, problem.item[name].wish.required)]
            gone |= {s.key for s in seating.by_item.get(name, []) if s.site not in kept}
    for seat in seating.seats:  # a part's seats come before those of what sits on it
        if seat.parents and gone.issuperset(seat.parents):
            gone.add(seat.key)
    return gone
