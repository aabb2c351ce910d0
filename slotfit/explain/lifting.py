"""Which reasons a change does away with, by rule and by what they are about."""

from __future__ import annotations

from collections.abc import Callable, Collection
from functools import partial

from slotfit.explain.reasons import Case, Reason, names_in
from slotfit.explain.room import bound_seats
from slotfit.model.seat import Seat

Lifts = Callable[[Case], frozenset[str]]


def of_item(*rules: str, item: str) -> Lifts:
    """Reasons of these rules that are about a part."""
    return partial(by_item, rules, item)


def of_machine(*rules: str, machine: str) -> Lifts:
    """Reasons of these rules that are about seats in a machine."""
    return partial(by_seats, rules, lambda seat: seat.offer.machine == machine, machine)


def of_processor(*rules: str, machine: str, processor: str) -> Lifts:
    """Reasons of these rules that are about lanes of an absent processor."""

    def hangs(seat: Seat) -> bool:
        return seat.offer.machine == machine and seat.offer.absent == processor

    return partial(by_seats, rules, hangs, "")


def by_item(rules: Collection[str], item: str, case: Case) -> frozenset[str]:
    """Reasons that refuse or bind a seat of the part, or that name it."""
    return frozenset(
        reason.name
        for reason in case.of_rules(rules)
        if item in case.items_of[reason.name] or names_in(reason.text, {item})
    )


def by_seats(
    rules: Collection[str], about: Callable[[Seat], bool], name: str, case: Case
) -> frozenset[str]:
    """Reasons that refuse or bind such a seat, or that name the thing."""
    return frozenset(
        reason.name
        for reason in case.of_rules(rules)
        if (any(map(about, seats_of(case, reason))) or names_in(reason.text, {name}))
    )


def seats_of(case: Case, reason: Reason) -> list[Seat]:
    """The seats a reason refuses, or binds."""
    return list(reason.seats.values()) or bound_seats(case, reason)


def all_of(*several: Lifts) -> Lifts:
    """What any of them lifts."""
    return lambda case: frozenset[str]().union(*(lifts(case) for lifts in several))
