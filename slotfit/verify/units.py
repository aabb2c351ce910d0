"""What the plan expects to answer: each own link of each part, with the receptacle it is under."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.verify.ends import End
from slotfit.verify.planned import Planned, PlannedLink, PlannedSeat

EXACT, CHIP, LIKE, VAGUE, NO = 4, 3, 2, 1, 0
"""How well an end fits: card and chip, chip alone, class and width, class, not at all."""


@dataclass(frozen=True, slots=True)
class Unit:
    """One thing that should answer: a part's link, and the board receptacle below it all."""

    seat: PlannedSeat
    link: PlannedLink
    root: str
    is_switch: bool
    """Other parts of the plan hang behind it."""

    @property
    def item(self) -> str:
        """The part it belongs to."""
        return self.seat.item


def units_of(planned: Planned) -> list[Unit]:
    """In the plan's order; what holds others comes before them."""
    found = []
    for seat in planned.seats:
        behind = any(
            link.bus == "pcie" for child in planned.children(seat.item) for link in child.links
        )
        root = planned.root(seat)
        found += [Unit(seat, link, root, behind) for link in seat.own]
    return found


def fit_of(unit: Unit, end: End) -> int:
    """How well what answers fits what was planned; 0 if it is something else."""
    if unit.is_switch and not end.is_switch:
        return NO
    if unit.seat.recognise:
        return _by_number(unit, end)
    return _by_class(unit, end)


def _by_number(unit: Unit, end: End) -> int:
    """By PCI numbers: a card's own numbers, or the chip's where one side has no more."""
    numbers = end.numbers | _behind(unit, end)
    if any(number in numbers for number in unit.seat.recognise):
        return EXACT
    bare = {number for number in numbers if "/" not in number}
    has_cards = any("/" in number for number in numbers)
    chips = {number.partition("/")[0] for number in unit.seat.recognise}
    return CHIP if chips & bare and not has_cards else NO


def _behind(unit: Unit, end: End) -> frozenset[str]:
    """
    A card may have a switch of its own: then what is behind it counts as the card.

    Not so where something else is behind it too: that switch is the board's.
    """
    inner = [one.numbers for one in end.inside]
    if unit.is_switch or any(not numbers & frozenset(unit.seat.recognise) for numbers in inner):
        return frozenset()
    return frozenset(number for numbers in inner for number in numbers)


def _by_class(unit: Unit, end: End) -> int:
    wanted = unit.seat.part_class
    if unit.is_switch:
        return LIKE if _same_width(unit, end) else VAGUE
    if wanted not in CLASSED:
        return VAGUE if end.classes <= {"other"} else NO
    classes = end.classes | {one for inner in end.inside for one in inner.classes}
    if wanted not in classes:
        return NO
    return LIKE if _same_width(unit, end) else VAGUE


CLASSED = frozenset(
    (
        "host-bus-adapter", "network-card", "accelerator", "drive", "capture-card", "sound-card",
        "usb-card", "serial-card",
    )
)  # fmt: skip
"""Classes of parts that a PCI class code tells (describe/kinds.py)."""


def _same_width(unit: Unit, end: End) -> bool:
    link = end.part.top.link
    return link is None or link.lanes_max is None or link.lanes_max == unit.link.able_lanes
