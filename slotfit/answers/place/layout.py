"""A plan laid out: what sits where, what hangs on what, and every cable with both its ends."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from string import ascii_uppercase

from slotfit.answers.names import link_words
from slotfit.answers.place.answer import PlacePlan, PlannedCable, PlannedReceptacle, PlannedSeat
from slotfit.listing import in_short
from slotfit.standards.forms import WITHOUT_LANES


@dataclass(frozen=True, slots=True)
class PlanLayout:
    """Look-ups over one plan."""

    plan: PlacePlan
    cables: tuple[PlannedCable, ...]
    seat: Mapping[str, PlannedSeat]
    """Part -> its seat."""
    on: Mapping[str, Sequence[PlannedReceptacle]]
    """Machine or part -> its receptacles."""
    processors: Mapping[tuple[str, str], tuple[int, str]]
    """Machine, processor -> its number, counted over all machines, and the name printed there."""

    def below(self, part: str) -> Iterator[tuple[PlannedReceptacle, PlannedSeat | None]]:
        """A part's receptacles, each with what sits in it."""
        for receptacle in self.on.get(part, ()):
            yield receptacle, self.seat.get(receptacle.item or "")

    def board(self, machine: str) -> list[PlannedReceptacle]:
        """The board's own receptacles: those in a row first, in the order of their positions."""
        own = [one for one in self.on.get(machine, ()) if one.on_board]
        rows = list(dict.fromkeys(one.row for one in own if one.row))
        return sorted(own, key=lambda r: (rows.index(r.row) if r.row else len(rows), r.position))

    def in_machine(self, machine: str) -> str:
        """Names the machine where there are several: `tower: `."""
        return f"{machine}: " if len(self.plan.machines) > 1 else ""

    def called(self, place: PlannedReceptacle | PlannedSeat) -> str:
        """A receptacle in a sentence: `SLOT 1`, with several machines `SLOT 1 of lamp`."""
        on_board = place.owner == place.machine
        several = on_board and len(self.plan.machines) > 1
        return f"{place.label} of {place.machine}" if several else place.label

    def processor(self, machine: str, processor: str | None) -> tuple[int | None, str]:
        """A processor's number, and the name printed beside it, or its id; empty for none."""
        return self.processors.get((machine, processor or ""), (None, processor or ""))


def layout_of(plan: PlacePlan, cables: tuple[PlannedCable, ...] = ()) -> PlanLayout:
    """The look-ups of a plan."""
    on: defaultdict[str, list[PlannedReceptacle]] = defaultdict(list)
    for receptacle in plan.receptacles:
        on[receptacle.owner].append(receptacle)
    every = [(machine.id, row) for machine in plan.machines for row in machine.processors]
    return PlanLayout(
        plan,
        cables,
        {seat.item: seat for seat in plan.seats},
        on,
        {(machine, id_): (n, label) for n, (machine, (id_, label, _)) in enumerate(every)},
    )


def merged(places: Iterable[PlannedReceptacle]) -> list[PlannedReceptacle]:
    """
    The same with neighbours that are empty and alike in everything but their names made one.

    Receptacles in a row, and those that share a lane group, stay apart.
    """
    places = [*places]
    sharing = Counter(place.group for place in places)

    def alike(place: PlannedReceptacle) -> object:
        apart = place.item or place.row or (place.group and sharing[place.group] > 1)
        return place.site if apart else replace(place, site="", id="", label="", group=None)

    every = [[*same] for _, same in groupby(places, alike)]
    return [replace(same[0], label=in_short(one.label for one in same)) for same in every]


DEEPEST = 6
"""So many parts in one another are shown."""


def nested_rows(
    layout: PlanLayout, part: str, depth: int = 0, *, rows_too: bool = True
) -> Iterator[tuple[Sequence[PlannedReceptacle], PlannedSeat | None, int]]:
    """
    What a part holds, deeper things after what holds them: receptacle, its part, and how deep.

    Those that are free come last, alike ones together; `rows_too`: those in a slot row as well.
    """
    free: dict[str, list[PlannedReceptacle]] = {}
    for place, seat in layout.below(part):
        if place.row and not rows_too:
            continue
        if seat is None:
            if place.form not in WITHOUT_LANES:
                free.setdefault(place.state, []).append(place)
            continue
        yield [place], seat, depth
        if depth < DEEPEST and not seat.body.companion_of:
            yield from nested_rows(layout, seat.item, depth + 1, rows_too=rows_too)
    yield from ((places, None, depth) for places in free.values())


def cables_of(layout: PlanLayout) -> Iterator[PlannedCable]:
    """Cables, and further plugs that are at no cable's end: A, B, ... Z, AA, ..."""
    number = 0
    for seat in layout.plan.seats:
        named, holder = seat.part_class == "cable", layout.seat.get(seat.owner)
        plug = seat.body.companion_of and (holder is None or holder.part_class != "cable")
        if not named and not plug:
            continue
        far = [one for _, one in layout.below(seat.item) if one] if named else [seat]
        links = dict.fromkeys(link_words(other) for other in far)
        yield PlannedCable(
            letter=letters(number),
            machine=seat.machine,
            item=seat.item,
            named=named,
            from_item=(holder.body.companion_of or holder.item) if holder else None,
            from_label=seat.label,
            to=tuple(other.body.companion_of or other.item for other in far),
            ends=tuple(
                f"{whole}, its {other.item.partition(':')[2]} connector"
                if (whole := other.body.companion_of)
                else other.item
                for other in far
            ),
            link=" and ".join(links) or link_words(seat),
            reach_mm=seat.body.reach_mm,
        )
        number += 1


def letters(number: int) -> str:
    """
    A name of letters for a number.

    >>> letters(0), letters(25), letters(26)
    ('A', 'Z', 'AA')
    """
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = ascii_uppercase[rest] + text
    return text
