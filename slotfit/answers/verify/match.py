"""Pairs what was planned with what answers: in place first, then anywhere else."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from slotfit.answers.place.answer import PlannedLink, PlannedReceptacle, PlannedSeat
from slotfit.answers.read.parts import kind_of, numbers_of
from slotfit.answers.read.slots import every_function
from slotfit.answers.verify.lineup import Places
from slotfit.answers.verify.planned import MachinePlan, own_links
from slotfit.read.designation import hints_of
from slotfit.read.machine import MachineSeen, PartSeen, ReceptacleSeen
from slotfit.read.seen import DriveSeen, FunctionSeen, PciAddress


@dataclass(frozen=True, eq=False, slots=True)
class End:
    """
    One device, or one switch with what is behind it in `inside`.

    `receptacle` None: it is not known to be in one; `soldered` then tells whether the board has it.
    """

    part: PartSeen
    receptacle: ReceptacleSeen | None
    soldered: bool = False
    inside: list[End] = field(default_factory=list)

    @property
    def is_switch(self) -> bool:
        """Whether other things answer behind it."""
        return self.part.kind in ("switch", "carrier")

    @property
    def functions(self) -> list[FunctionSeen]:
        """Its own functions; for a switch only its bridges."""
        return list(self.part.functions) if self.is_switch else every_function(self.part)

    @property
    def numbers(self) -> frozenset[str]:
        """PCI numbers of its functions, with and without those of the card."""
        full = {number for seen in self.functions if (number := numbers_of(seen))}
        return frozenset(full | {number.partition("/")[0] for number in full})

    @property
    def classes(self) -> frozenset[str]:
        """Classes of parts that its functions may belong to."""
        return frozenset(
            kind_of(seen.class_code).part_class for seen in self.functions if not seen.is_bridge
        )

    @property
    def drives(self) -> tuple[DriveSeen, ...]:
        """Drives that hang on it."""
        return self.part.drives

    @property
    def name(self) -> str:
        """How to call it where no plan has a name for it."""
        main = self.part.main
        number = (numbers_of(main) or "").partition("/")[0]
        kind = "switch" if self.is_switch else kind_of(main.class_code).stem
        return " ".join(filter(None, (kind, f"[{number}]" if number else "", f"at {main.address}")))


def ends_of(seen: MachineSeen, adrift: list[PartSeen]) -> list[End]:
    """Everything that answers: in receptacles first, then of unknown place, then soldered on."""
    found = [
        end for one in seen.receptacles for part in one.parts for end in _ends(part, one, False)
    ]
    found += [end for part in adrift for end in _ends(part, None, False)]
    return found + [end for part in seen.onboard for end in _ends(part, None, True)]


def _ends(part: PartSeen, receptacle: ReceptacleSeen | None, soldered: bool) -> Iterator[End]:
    """A part and what is in it; a passive carrier is nothing that answers."""
    inner = [end for one in part.inside for end in _ends(one, receptacle, soldered)]
    if part.kind != "passive carrier":
        direct = [end for end in inner if end.part in part.inside]
        yield End(part, receptacle, soldered, direct)
    yield from inner


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
    def part(self) -> str:
        """The part it belongs to."""
        return self.seat.item


def units_of(planned: MachinePlan) -> list[Unit]:
    """In the plan's order; what holds others comes before them."""
    found = []
    for seat in planned.seats:
        behind = any(
            link.bus == "pcie" for child in planned.children(seat.item) for link in child.links
        )
        root = [seat, *planned.holders(seat)][-1].site
        found += [Unit(seat, link, root, behind) for link in own_links(seat)]
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
    return link is None or link.lanes_max is None or link.lanes_max == unit.link.able.lanes


Side = TypeVar("Side", PlannedReceptacle, ReceptacleSeen)
Key = Hashable | None


def places_of(
    receptacles: Sequence[PlannedReceptacle], seen: Sequence[ReceptacleSeen]
) -> dict[str, ReceptacleSeen]:
    """
    Receptacle -> receptacle, by the printed name, by the port's address, by the slot's number.

    Only what is the same on both sides and unique on each is taken; the rest stays unknown.
    """
    found: dict[str, ReceptacleSeen] = {}
    left_receptacles, left_seen = list(receptacles), list(seen)
    for of_receptacle, of_seen in KEYS:
        ours = _unique(left_receptacles, of_receptacle)
        theirs = _unique(left_seen, of_seen)
        for key in ours.keys() & theirs.keys():
            found[ours[key].site] = theirs[key]
        taken = {id(one) for one in found.values()}
        left_receptacles = [one for one in left_receptacles if one.site not in found]
        left_seen = [one for one in left_seen if id(one) not in taken]
    return found


def _unique(things: Iterable[Side], key: Callable[[Side], Key]) -> dict[Key, Side]:
    """Key -> thing, for keys that only one has."""
    keyed = [(key(one), one) for one in things]
    counts = Counter(name for name, _ in keyed)
    return {name: one for name, one in keyed if name is not None and counts[name] == 1}


def _plain(text: str) -> Key:
    """Letters and digits alone: `SLOT 1`, `Slot_1` and `slot1` are one name."""
    return "".join(letter for letter in text.casefold() if letter.isalnum()) or None


def _numbered(seen: ReceptacleSeen) -> Key:
    """The number in its name, else the one that its record or its port carries."""
    number = _number_in(seen.label)
    if number is None:
        ids = {record.slot_id for record in seen.records if record.slot_id}
        ids = ids or {port.slot_number for port in seen.ports if port.slot_number}
        number = ids.pop() if len(ids) == 1 else None
    return _of_number(seen.form or "cem", number)


def _number_in(*names: str) -> int | None:
    """The first number that a name gives."""
    return next((n for name in names if (n := hints_of(name).number) is not None), None)


def _of_number(form: str, number: int | None) -> Key:
    """The number among the receptacles of its family."""
    family = "m2" if form.startswith("m2") else "cem" if form in ("cem", "unknown") else "other"
    return (family, number) if number is not None else None


KEYS: tuple[tuple[Callable[[PlannedReceptacle], Key], Callable[[ReceptacleSeen], Key]], ...] = (
    (lambda receptacle: _plain(receptacle.label), lambda seen: _plain(seen.label)),
    (lambda receptacle: _plain(receptacle.id), lambda seen: _plain(seen.label)),
    (
        lambda receptacle: receptacle.label.casefold(),
        lambda seen: str(seen.ports[0].address) if len(seen.ports) == 1 else None,
    ),
    (
        lambda receptacle: _of_number(receptacle.form, _number_in(receptacle.label, receptacle.id)),
        _numbered,
    ),
)
"""Ways to tell, the surest first."""


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
    units: Sequence[Unit],
    ends: Sequence[End],
    places: Places,
    ports: Mapping[str, PciAddress],
) -> Matched:
    """
    The pairing: known parts in place, known parts elsewhere, alike parts in place, then elsewhere.

    A part that numbers tell from others is never taken for another; one that only its class tells
    is looked for in its own receptacle first. `ports` names the port of a socket, as far as their
    order tells: of alike parts the one whose port is empty is the one that is missing.
    """
    work = Matching(units, ends, places, ports)
    for here, least in (
        (True, CHIP), (False, CHIP), (True, LIKE), (True, VAGUE), (False, LIKE), (False, VAGUE),
    ):  # fmt: skip
        if here:
            work.take(least, here=True, at_port=True)
        work.take(least, here=here)
    return work.result()


class Matching:
    """The pairing while it is made."""

    def __init__(
        self,
        units: Sequence[Unit],
        ends: Sequence[End],
        places: Places,
        ports: Mapping[str, PciAddress],
    ) -> None:
        self.open = list(units)
        self.free = list(ends)
        self.places = places
        self.ports = ports
        self.pairs: list[Pair] = []

    def take(self, least: int, *, here: bool, at_port: bool = False) -> None:
        """Pair every open unit with its best free end that fits so well, in or out of its place."""
        for unit in list(self.open):
            # A soldered device is only taken for a part that its numbers tell.
            fits = [
                (fit_of(unit, end), -number, end)
                for number, end in enumerate(self.free)
                if self.is_in_place(unit, end) == here
                and (here or not end.soldered or unit.seat.recognise)
                and (not at_port or end.part.port == self.ports.get(unit.seat.site))
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
