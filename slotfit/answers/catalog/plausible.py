"""
Figures that the published tables make unlikely: a slip of the pen, or a thing that says so.

A part whose figure is right though unlikely says `meant`, as for a figure that is out of range.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from slotfit.answers.catalog.gaps import Remark
from slotfit.load.expand import named
from slotfit.load.words import listed
from slotfit.model.board import Board, BoardReceptacle
from slotfit.model.entity import Span
from slotfit.model.part import PartSpec
from slotfit.model.units import mb_s
from slotfit.standards import cem, pcie
from slotfit.standards.forms import (
    FORMS,
    LENGTHS_MM,
    PLUG_FORMS,
    POWER_CONTACTS,
    POWER_CONTACTS_SOURCE,
    SIZE_TABLE,
    power_contacts_limit_w,
)
from slotfit.standards.power import PROMISES
from slotfit.standards.source import Source


@dataclass(frozen=True, slots=True)
class Unlikely:
    """What a check found: the field, what is odd about it, what says so."""

    path: str
    """The way to it: `power.slot_w`."""
    text: str
    source: Source

    @property
    def field(self) -> str:
        return self.path.rpartition(".")[2]


Check = Callable[[PartSpec], Iterator[Unlikely]]


def implausible(part: PartSpec, file: str) -> Iterator[Remark]:
    """What no part of that build can be, unless its file says that it is meant."""
    for check in CHECKS:
        for found in check(part):
            if found.field not in part.meant:
                yield Remark("implausible", span(part, found.path) or file, found.path, told(found))


def span(part: PartSpec, path: str) -> Span | None:
    """Where the figure was written; a short form has one place for all that is in it."""
    outer, _, inner = path.partition(".")
    within = getattr(part, outer) if inner else None
    return (within and within.span(inner)) or part.span(outer)


def told(found: Unlikely) -> str:
    text = f"{found.text} ({found.source})"
    can_be = found.field not in NEVER
    return f"{text}; if it is so, add `meant: [{found.field}]`" if can_be else text


def is_low(part: PartSpec) -> bool:
    return part.bracket in ("low", "both")


def connector(part: PartSpec) -> Iterator[Unlikely]:
    width = part.plug.width
    if part.plug.form == "cem" and width is not None and width not in cem.CONNECTORS:
        sizes = listed(f"x{lanes}" for lanes in cem.CONNECTOR_LANES)
        yield Unlikely("plug", f"a card edge is {sizes}, never x{width}", cem.OUTLINE)


def slot_power(part: PartSpec) -> Iterator[Unlikely]:
    """A card that draws more from its slot than the standard lets it."""
    power, width = part.power, part.plug.width
    if part.plug.form != "cem" or not power or not power.slot_w or width not in cem.CONNECTORS:
        return
    row = cem.slot_power(width, is_low(part), power.graphics)
    if power.slot_w > row.power_w:
        kind = f"a low-profile x{width} card" if is_low(part) else f"an x{width} card"
        text = f"{power.slot_w:g} W from the slot; {kind} gets {row.power_w:g} W at most"
        if width == cem.CONNECTOR_LANES[-1] and not power.graphics and not is_low(part):
            text += " (75 W with `graphics: true`)"
        yield Unlikely("power.slot_w", text, row.source)


def length(part: PartSpec) -> Iterator[Unlikely]:
    """Longer than full length, than half length if called so, than a low-profile card can be."""
    if part.plug.form != "cem" or part.length_mm is None:
        return
    most, kind = cem.FULL_LENGTH_MM, "full-length"
    if is_low(part):
        most, kind = cem.LOW_PROFILE_LENGTH_MM, "low-profile"
    elif called_half_length(part):
        most, kind = cem.HALF_LENGTH_MM, "half-length"
    if part.length_mm > most:
        text = f"{part.length_mm:g} mm; a {kind} card is {most:g} mm long at most"
        yield Unlikely("length_mm", text, cem.OUTLINE)


def called_half_length(part: PartSpec) -> bool:
    source = part.sources.get("length_mm", "")
    told = " ".join((part.name or "", part.about or "", *part.mind, source))
    return "half length" in told.lower().replace("-", " ")


def height(part: PartSpec) -> Iterator[Unlikely]:
    if part.plug.form != "cem" or part.height_mm is None:
        return
    most, kind = cem.FULL_HEIGHT_MM, "full-height"
    if is_low(part):
        most, kind = cem.LOW_PROFILE_HEIGHT_MM, "low-profile"
    if part.height_mm > most:
        text = f"{part.height_mm:g} mm; a {kind} card is {most:g} mm high"
        yield Unlikely("height_mm", text, cem.OUTLINE)


def m2_size(part: PartSpec) -> Iterator[Unlikely]:
    mm = part.length_mm
    if part.plug.form.startswith("m2-") and mm is not None and mm not in LENGTHS_MM:
        text = f"{mm:g} mm; an M.2 module is {listed(map(str, LENGTHS_MM))} mm long"
        yield Unlikely("length_mm", text, SIZE_TABLE)


def receptacle_draw(part: PartSpec) -> Iterator[Unlikely]:
    """A module or drive that draws more than its connector brings."""
    draw, form = part.power.slot_w if part.power else None, part.plug.form
    if draw is None:
        return
    if form in POWER_CONTACTS and draw > power_contacts_limit_w(form):
        key, most = form.removeprefix("m2-").upper(), power_contacts_limit_w(form)
        text = f"{draw:g} W; the contacts of a key {key} socket carry {most:g} W"
        yield Unlikely("power.slot_w", text, POWER_CONTACTS_SOURCE)
    if form in ("u2", "u3", "u2-u3") and draw > PROMISES[form].power_w:
        text = f"{draw:g} W; a bay of that form gives {PROMISES[form].power_w:g} W"
        yield Unlikely("power.slot_w", text, PROMISES[form].source)


def generation(part: PartSpec) -> Iterator[Unlikely]:
    """A link newer than its connector carries in practice."""
    form = PLUG_FORMS[part.plug.form]
    rated = [link.generation or part.generation for link in part.links if link.bus == "pcie"]
    newest = max((rate for rate in rated if rate is not None), default=0)
    if form.max_generation is not None and newest > form.max_generation:
        text = f"PCIe {newest} through {form.title}, which is good for {form.max_generation}"
        yield Unlikely("generation", text, form.source)


def demand(part: PartSpec) -> Iterator[Unlikely]:
    """Over twice what its own links carry: gigabits written for gigabytes, as a rule."""
    carried = carried_mb_s(part)
    if part.demand is None or carried is None:
        return
    most = max(part.demand.in_gb_s, part.demand.out_gb_s)
    way = "in_gb_s" if most == part.demand.in_gb_s else "out_gb_s"
    if mb_s(most) > 2 * carried:
        text = (
            f"{most:g} GB/s (gigabytes), and its links carry {carried / 1000:.1f}; if {most:g} is "
            f"in gigabits, write {most / 8:g}"
        )
        yield Unlikely(f"demand.{way}", text, pcie.LINUX_PCI_H)


def carried_mb_s(part: PartSpec) -> int | None:
    """What its PCIe links carry before packet headers, in MB/s; None if nobody has said."""
    rated = [
        (link.generation or part.generation, link.lanes)
        for link in part.links
        if link.bus == "pcie" and not link.to
    ]
    known = [pcie.lane_mb_s(rate, lanes) for rate, lanes in rated if rate is not None]
    return sum(known) if known and len(known) == len(rated) else None


CHECKS = (
    connector,
    slot_power,
    length,
    height,
    m2_size,
    receptacle_draw,
    generation,
    demand,
)

NEVER = ("plug",)
"""What nothing in a file makes likely: there is no such connector."""


MOST_W = max(row.power_w for row in cem.SLOT_POWER)


def implausible_board(board: Board, file: str) -> Iterator[Remark]:
    """What no receptacle of that form can be."""
    for one in board.receptacles:
        for field, text in (*slot(one), *m2(one), *rate(one), *short_splits(one), *undivided(one)):
            where = one.span(field) or file
            yield Remark("implausible", where, f"{one.id}: {field}", text)


def slot(one: BoardReceptacle) -> Iterator[tuple[str, str]]:
    if one.form != "cem":
        return
    if one.width is not None and one.width not in cem.CONNECTORS:
        sizes = listed(f"x{lanes}" for lanes in cem.CONNECTOR_LANES)
        yield "width", f"a slot is {sizes} long, never x{one.width} ({cem.OUTLINE})"
    most = (
        cem.slot_power_limit_w(1, low_profile=False, graphics=False) if one.width == 1 else MOST_W
    )
    if one.power_w is not None and one.power_w > most:
        size = f"an x{one.width} slot" if one.width else "a slot"
        yield "power_w", f"{one.power_w:g} W; {size} gives {most:g} W at most ({cem.POWER})"


def m2(one: BoardReceptacle) -> Iterator[tuple[str, str]]:
    odd = [mm for mm in one.drive_lengths or () if mm not in LENGTHS_MM]
    if odd:
        lengths = listed(map(str, LENGTHS_MM))
        yield (
            "drive_lengths",
            f"{listed(map(str, odd), 'and')}: modules are {lengths} mm ({SIZE_TABLE})",
        )


def rate(one: BoardReceptacle) -> Iterator[tuple[str, str]]:
    form = FORMS[one.form]
    newest = form.max_generation
    if one.bus == "pcie" and newest is not None and (one.generation or 0) > newest:
        yield (
            "generation",
            f"PCIe {one.generation} through {form.title}, good for {newest} ({form.source})",
        )


def short_splits(one: BoardReceptacle) -> Iterator[tuple[str, str]]:
    """A division that leaves wired lanes unused is usually a label read wrongly."""
    for number, split in enumerate(one.splits or ()):
        total = sum(named(split.split))
        if one.lanes is not None and total < one.lanes:
            text = f"{split.split} uses {total} of the {one.lanes} lanes that are wired"
            yield f"splits[{number}]", f"{text}; is one of the two a slip?"


def undivided(one: BoardReceptacle) -> Iterator[tuple[str, str]]:
    """A menu without the entry that divides nothing is usually a list without it."""
    whole = [split for split in one.splits or () if len(named(split.split)) == 1]
    if one.splits and not whole and any(split.chosen_by == "setting" for split in one.splits):
        text = f"no entry leaves the lanes whole; if the menu has one, add it: x{one.lanes}"
        yield "splits", f"{text}. The first that is listed is what the board does by itself"
