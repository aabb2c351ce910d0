"""Lanes one by one: which contact carries which lane, and what a link makes of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from slotfit.model.board import Width
from slotfit.model.part import Link
from slotfit.standards.pcie import LEGAL_WIDTHS


@dataclass(frozen=True, slots=True)
class Lane:
    """One lane of one port; a port's link begins at its lane 0."""

    port: str
    number: int
    bus: str


Contact = tuple[str, int]
"""Row of contacts, number in the row."""

Contacts = Mapping[Contact, Lane]


def row_of(form: str, bus: str) -> str:
    """A U.2 bay has its SATA and SAS contacts apart from its PCIe ones; others have one row."""
    return "" if form != "u2" else "pcie" if bus == "pcie" else "sas"


def laid_out(port: str, bus: str, widths: Iterable[Width], form: str) -> Contacts:
    """A board's segments side by side from contact 0 up, each a port of its own."""
    contacts: dict[Contact, Lane] = {}
    for piece, width in enumerate(widths):
        its_bus, lanes = (bus, width) if isinstance(width, int) else (width, 1)
        for number in range(lanes):
            add(contacts, form, Lane(f"{port}.{piece}", number, its_bus))
    return contacts


def through(wires: Iterable[Link], below: Contacts, below_form: str, form: str) -> Contacts:
    """What copper hands on: contact by contact, wire after wire."""
    contacts: dict[Contact, Lane] = {}
    free: Counter[str] = Counter()
    for wire in wires:
        row = row_of(form, wire.bus)
        for step in range(wire.lanes):
            lane = below.get((row_of(below_form, wire.bus), wire.at + step))
            if lane and hears(wire.bus, lane.bus):
                contacts[row, free[row] + step] = lane
        free[row] += wire.lanes
    return contacts


def add(contacts: dict[Contact, Lane], form: str, lane: Lane) -> None:
    """The lane on the next free contact of its row."""
    row = row_of(form, lane.bus)
    contacts[row, sum(taken == row for taken, _ in contacts)] = lane


def hears(link_bus: str, lane_bus: str) -> bool:
    """A SAS port also serves SATA drives (from memory); else both ends speak one bus."""
    return link_bus == lane_bus or (link_bus, lane_bus) == ("sata", "sas")


def piece_at(link: Link, contacts: Contacts, form: str) -> list[Lane]:
    """The lanes that a link starting at `link.at` could run on; empty if it stays dark."""
    row = row_of(form, link.bus)
    lanes: list[Lane] = []
    while (lane := contacts.get((row, link.at + len(lanes)))) and hears(link.bus, lane.bus):
        one_port = lane.number == len(lanes) and (not lanes or lane.port == lanes[0].port)
        # SAS and SATA lanes are each a port; neighbours join to a wide one.
        if link.bus == "pcie" and not one_port:
            break
        lanes.append(lane)
    return lanes


def width_of(link: Link, piece: list[Lane]) -> int:
    """Lanes that the link trains at: the widest that both ends have and the standard knows."""
    most = min(link.lanes, len(piece))
    if link.bus != "pcie" or link.to:
        return most
    return max((width for width in LEGAL_WIDTHS if width <= most), default=0)


def is_sure(link: Link, piece: list[Lane], plug: str) -> bool:
    """
    Both ends must know x1 and their own full width; x4 and x8 are usual, and ports know x2.

    So does every M.2 module (common practice, no source).
    """
    if not piece or link.bus != "pcie" or link.to or len(piece) == link.lanes:
        return True
    smaller = min(link.lanes, len(piece))
    return smaller in (1, 4, 8) or (smaller == 2 and (link.lanes == 2 or plug.startswith("m2-")))


def shape(link: Link, contacts: Contacts, form: str) -> object:
    """What becomes of the link, down to the pieces it hands on; equal where nothing differs."""
    own = width_of(link, piece_at(link, contacts, form))
    if not link.to:
        return own
    row = row_of(form, link.bus)
    window = [contacts.get((row, link.at + step)) for step in range(link.lanes)]
    alive = {lane.port for lane in window if lane and lane.number == 0}
    return own, [lane.number if lane and lane.port in alive else None for lane in window]
