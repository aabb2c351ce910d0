"""Every cable of a plan with both its ends, each under a letter to write on its flag."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import groupby
from string import ascii_uppercase
from typing import Literal

from slotfit.answers.place.answer import LinkView, MachineView, SeatView, View
from slotfit.answers.place.layout import ReceptacleView
from slotfit.answers.text_layout import link_text, segments_text
from slotfit.listing import in_short

Health = Literal["full", "below", "dark", "power", "held"]
"""At full ability | below it | no link | takes power and room only | held by a part, no lanes."""

HEALTH_WORDS: dict[Health, str] = {
    "full": "at full ability",
    "below": "below its ability",
    "dark": "no link",
    "power": "power only",
    "held": "held, no lanes",
}


def health(seat: SeatView) -> Health:
    """How the seat's links came up."""
    if not seat.links:
        return "held" if seat.body and seat.body.plug in ("cooling-mount", "opening") else "power"
    if not any(link.lanes for link in seat.links):
        return "dark"
    return "below" if any(link.why for link in seat.links) else "full"


def link_words(seat: SeatView) -> str:
    """`8 GT/s x8`, `16 GT/s x4+x4`, `power only`."""
    if not seat.links:
        return HEALTH_WORDS[health(seat)]
    alive = [link for link in seat.links if link.lanes]
    if not alive:
        return "no link"
    together = " and ".join(dict.fromkeys(run_words(alive, link) for link in alive))
    lost = len(seat.links) - len(alive)
    return together + (f", {lost} of {len(seat.links)} dark" if lost else "")


def run_words(alive: Iterable[LinkView], first: LinkView) -> str:
    """All links of one bus and generation: `16 GT/s x4+x4`."""
    alike = [link for link in alive if (link.bus, link.generation) == (first.bus, first.generation)]
    if len(alike) == 1 or first.bus != "pcie":
        return link_text(first.bus, first.generation, sum(link.lanes for link in alike))
    speed = link_text("pcie", first.generation, 1).removesuffix(" x1")
    return f"{speed} {segments_text(link.lanes for link in alike)}"


def able_words(seat: SeatView) -> str:
    """What the part could do, where it does less: `could do 16 GT/s x16`, or `could do x16`."""
    if any(not link.lanes for link in seat.links) and len(seat.links) > 1:
        return ""  # what is said already: so many of them are dark
    found = dict.fromkeys(
        f"x{link.able_lanes}" if link.generation == link.able_generation else link.able_text
        for link in seat.links
        if link.why
    )
    return f"could do {' and '.join(found)}" if found else ""


def class_words(part_class: str) -> str:
    """`host bus adapter`."""
    return part_class.replace("-", " ")


@dataclass(frozen=True, slots=True)
class Nesting:
    """Look-ups over one view."""

    seat: dict[str, SeatView]
    """Item -> its seat."""
    on: dict[str, list[ReceptacleView]]
    """Machine or item -> its receptacles."""
    processors: dict[tuple[str, str], int]
    """(Machine, processor) -> its number, counted over all machines."""
    labels: dict[tuple[str, str], str]
    """(Machine, processor) -> the name printed beside it."""

    def below(self, item: str) -> Iterator[tuple[ReceptacleView, SeatView | None]]:
        """A part's receptacles, each with what sits in it."""
        for receptacle in self.on.get(item, ()):
            yield receptacle, self.seat.get(receptacle.item or "")


def nesting_of(view: View) -> Nesting:
    """Index a view."""
    on: defaultdict[str, list[ReceptacleView]] = defaultdict(list)
    for receptacle in view.receptacles:
        on[receptacle.owner].append(receptacle)
    every = [(machine, row) for machine in view.machines for row in machine.processors]
    return Nesting(
        {seat.item: seat for seat in view.seats},
        dict(on),
        {(machine.id, row[0]): number for number, (machine, row) in enumerate(every)},
        {(machine.id, row[0]): row[1] for machine, row in every},
    )


def board_receptacles(view: View, machine: MachineView) -> list[ReceptacleView]:
    """The board's own receptacles: those in a row first, in the order of their positions."""
    own = [r for r in view.receptacles if r.on_board and r.machine == machine.id]
    rows = list(dict.fromkeys(r.row for r in own if r.row))
    return sorted(own, key=lambda r: (rows.index(r.row) if r.row else len(rows), r.position))


def merged(places: list[ReceptacleView]) -> list[ReceptacleView]:
    """
    The same with neighbours that are empty and alike in everything but their names made one.

    Receptacles in a row, and those that share a lane group, stay apart.
    """
    sharing = Counter(place.group for place in places)

    def alike(place: ReceptacleView) -> object:
        apart = place.item or place.row or (place.group and sharing[place.group] > 1)
        return place.site if apart else replace(place, site="", id="", label="", group=None)

    found = []
    for _, same in groupby(places, alike):
        every = list(same)
        found.append(replace(every[0], label=in_short(place.label for place in every)))
    return found


@dataclass(frozen=True, slots=True)
class CableView:
    """One cable, or one connection that needs a cable nobody has named."""

    letter: str
    machine: str
    item: str
    """The cable, or the further connection of a part."""
    named: bool
    """It is a part of its own."""
    from_item: str | None
    """The part it starts from; None: the board."""
    from_label: str
    to: tuple[str, ...]
    """Parts at its far ends; none yet if empty."""
    ends: tuple[str, ...]
    """The same in words."""
    link: str
    reach_mm: float | None

    @property
    def words(self) -> str:
        """`sas-cable, from hba port0 to expander, its up connector; SAS-3 x4; 800 mm`."""
        start = f"{self.from_item} {self.from_label}" if self.from_item else self.from_label
        name = f"{self.item}, " if self.named else ""
        reach = f"; {self.reach_mm:g} mm" if self.reach_mm else ""
        return (
            f"{name}from {start} to {' and '.join(self.ends) or 'nothing yet'}; {self.link}{reach}"
        )


def cables_of(view: View, nesting: Nesting) -> tuple[CableView, ...]:
    """In the order of the plan, A, B, ... Z, AA, ..."""
    found = [seat for seat in view.seats if is_cable(nesting, seat)]
    return tuple(cable_view(nesting, seat, letters(number)) for number, seat in enumerate(found))


def is_cable(nesting: Nesting, seat: SeatView) -> bool:
    """A cable, or a further plug of a part that sits at no cable's end."""
    if seat.part_class == "cable":
        return True
    holder = nesting.seat.get(seat.owner)
    return whole_of(seat) is not None and (holder is None or holder.part_class != "cable")


def whole_of(seat: SeatView) -> str | None:
    """The part whose further connection this is."""
    return seat.body.companion_of if seat.body else None


def cable_view(nesting: Nesting, seat: SeatView, letter: str) -> CableView:
    """One cable with its ends."""
    named = seat.part_class == "cable"
    far = [s for _, s in nesting.below(seat.item) if s] if named else [seat]
    on_board = seat.owner == seat.machine and seat.owner not in nesting.seat
    return CableView(
        letter=letter,
        machine=seat.machine,
        item=seat.item,
        named=named,
        from_item=None if on_board else seat.site.partition("/")[0],
        from_label=seat.label,
        to=tuple(whole_of(other) or other.item for other in far),
        ends=tuple(end_words(other) for other in far),
        link=link_of(seat, far),
        reach_mm=seat.body.reach_mm if seat.body else None,
    )


def end_words(seat: SeatView) -> str:
    """What is at a cable's end: a part, or one of its further connections."""
    whole = whole_of(seat)
    return f"{whole}, its {seat.item.partition(':')[2]} connector" if whole else seat.item


def link_of(seat: SeatView, far: list[SeatView]) -> str:
    """How what is at its ends trains; how many lanes it carries if nothing is."""
    return " and ".join(dict.fromkeys(link_words(other) for other in far)) or link_words(seat)


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
