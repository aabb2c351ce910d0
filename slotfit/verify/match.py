"""Pairs what was planned with what answers: in place first, then anywhere else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from slotfit.read.merge.machine import ReceptacleSeen
from slotfit.verify.ends import End
from slotfit.verify.units import CHIP, CLASSED, LIKE, VAGUE, Unit, fit_of


@dataclass(frozen=True, eq=False, slots=True)
class Pair:
    """A unit with the end that is taken to be it. `sure`: its numbers say so."""

    unit: Unit
    end: End
    in_place: bool
    sure: bool


@dataclass(slots=True)
class Matched:
    """All pairs, and what is left on either side."""

    pairs: list[Pair] = field(default_factory=list)
    missing: list[Unit] = field(default_factory=list)
    extra: list[End] = field(default_factory=list)


def match(
    units: Sequence[Unit], ends: Sequence[End], places: Mapping[str, tuple[ReceptacleSeen, ...]]
) -> Matched:
    """
    The pairing: known parts in place, known parts elsewhere, alike parts in place, then elsewhere.

    A part that numbers tell from others is never taken for another; one that only its class tells
    is looked for in its own receptacle first.
    """
    work = Matching(units, ends, places)
    work.take(CHIP, here=True)
    work.take(CHIP, here=False)
    work.take(LIKE, here=True)
    work.take(VAGUE, here=True)
    work.take(LIKE, here=False)
    work.take(VAGUE, here=False)
    return work.result()


class Matching:
    """The pairing while it is made."""

    def __init__(
        self,
        units: Sequence[Unit],
        ends: Sequence[End],
        places: Mapping[str, tuple[ReceptacleSeen, ...]],
    ) -> None:
        self.open = list(units)
        self.free = list(ends)
        self.places = places
        self.pairs: list[Pair] = []

    def take(self, least: int, *, here: bool) -> None:
        """Pair every open unit with its best free end that fits so well, in or out of its place."""
        for unit in list(self.open):
            fits = [
                (fit_of(unit, end), -number, end)
                for number, end in enumerate(self.free)
                if self.is_in_place(unit, end) == here and (here or may_be_elsewhere(unit, end))
            ]
            fit, _, end = max(fits, default=(0, 0, None), key=lambda one: one[:2])
            if end is not None and fit >= least:
                self.pair(unit, end, fit, here=here)

    def is_in_place(self, unit: Unit, end: End) -> bool:
        """Whether the end is under the receptacle that the plan names."""
        return any(end.receptacle is place for place in self.places.get(unit.root, ()))

    def pair(self, unit: Unit, end: End, fit: int, *, here: bool) -> None:
        """Take both off; what is behind a switch goes with a card that has one of its own."""
        self.open.remove(unit)
        self.free.remove(end)
        if not unit.is_switch and unit.seat.part_class in CLASSED:
            for inner in end.inside:
                if inner in self.free:
                    self.free.remove(inner)
        self.pairs.append(Pair(unit, end, here, sure=fit >= CHIP))

    def result(self) -> Matched:
        """What came of it, in the plan's order."""
        extra = [end for end in self.free if not end.soldered and not self.is_half_of_a_card(end)]
        return Matched(self.pairs, self.open, extra)

    def is_half_of_a_card(self, end: End) -> bool:
        """A further device of a card that was found: same receptacle, among the card's numbers."""
        return any(
            pair.end.receptacle is end.receptacle is not None
            and pair.unit.seat.depth == 0
            and bool(end.numbers & frozenset(pair.unit.seat.recognise))
            for pair in self.pairs
        )


def may_be_elsewhere(unit: Unit, end: End) -> bool:
    """A soldered device is only taken for a part that its numbers tell."""
    return not end.soldered or bool(unit.seat.recognise)
