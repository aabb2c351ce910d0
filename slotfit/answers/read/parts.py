"""The parts: what each is, what is assumed of it, and what sits in what."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from slotfit.answers.read.slots import connector_for, every_function, room_of
from slotfit.answers.read.yaml_text import Sourced, assumed, said
from slotfit.read.machine import PartSeen
from slotfit.read.pci_ids import PciIds
from slotfit.read.seen import FunctionSeen
from slotfit.standards import pci_regs as regs
from slotfit.standards.cem import slot_power_limit_w
from slotfit.standards.pci_regs import CLASS_NAMES
from slotfit.standards.power import promised_w


@dataclass(frozen=True, slots=True)
class PartKind:
    """A class of parts: its word in files, and the stem of the names of its parts."""

    part_class: str
    stem: str
    pitches: int = 1
    usual_lanes: int = 1


_BY_CLASS: dict[int, PartKind] = {
    0x0108: PartKind("drive", "drive", usual_lanes=4),
    0x0380: PartKind("other", "display"),
    0x0302: PartKind("accelerator", "accelerator", 2, 16),
    0x0B40: PartKind("accelerator", "accelerator", 1, 8),
    0x1200: PartKind("accelerator", "accelerator", 2, 16),
    0x0401: PartKind("sound-card", "sound"),
    0x0403: PartKind("sound-card", "sound"),
    0x0400: PartKind("capture-card", "capture"),
    0x0480: PartKind("capture-card", "capture"),
    0x0C03: PartKind("usb-card", "usb"),
    0x0700: PartKind("serial-card", "serial"),
    0x0702: PartKind("serial-card", "serial"),
    0x0C06: PartKind("network-card", "fabric", usual_lanes=8),
    0x0604: PartKind("other", "switch"),
}
_BY_BASE_CLASS: dict[int, PartKind] = {
    0x01: PartKind("host-bus-adapter", "storage", usual_lanes=8),
    0x02: PartKind("network-card", "network", usual_lanes=4),
    0x03: PartKind("accelerator", "graphics", 2, 16),
    0x07: PartKind("serial-card", "serial"),
}
"""Base class -> kind (PCI Code and ID Assignment Specification, as in standards/pci_regs.py)."""

UNKNOWN = PartKind("other", "card")
GRAPHICS_BASE_CLASS = 0x03


def kind_of(class_code: int | None) -> PartKind:
    """The kind of a function; `UNKNOWN` for classes without one, such as bridges."""
    if class_code is None:
        return UNKNOWN
    return _BY_CLASS.get(class_code) or _BY_BASE_CLASS.get(class_code >> 8, UNKNOWN)


def class_words(class_code: int | None) -> str:
    """The class in words."""
    return CLASS_NAMES.get(class_code or -1, "device of an unknown class")


def usual_draw_w(form: str, width: int | None, *, graphics: bool) -> float | None:
    """
    The most that the form lets such a part draw from its receptacle, in watts; None if unknown.

    Sources: standards/cem.py and standards/power.py.
    """
    if form == "cem":
        return slot_power_limit_w(width, low_profile=False, graphics=graphics) if width else None
    return promised_w(form) or None


DEEPEST = 4
"""Parts in parts that are told apart; what lies deeper counts as part of the last."""
MOST_SOCKETS = 32


@dataclass(frozen=True, slots=True)
class PlugLink:
    """One link of the plug; `socket` is the own receptacle its lanes are wired to, if any."""

    first_lane: int
    lanes: int
    socket: str | None = None


Links = Sourced[tuple[PlugLink, ...]]
"""Every link of a plug."""


@dataclass(frozen=True, slots=True)
class Socket:
    """A receptacle of a part, with what sits in it."""

    id: str
    form: str
    port_lanes: int | None
    """Of the switch's port above it."""
    port_generation: int | None
    holds: Piece | None = None


@dataclass(frozen=True, slots=True)
class Piece:
    """
    One part as it will be written.

    `wiring` is a word of descriptions; `functions` are the part's own, the most telling first.
    """

    kind: PartKind
    seen: PartSeen
    functions: tuple[FunctionSeen, ...]
    form: Sourced[str]
    width: int | None
    links: Links
    generation: Sourced[int] | None
    wiring: str = "passive"
    sockets: tuple[Socket, ...] = ()
    pitches: int | None = None
    draw_w: float | None = None
    graphics: bool = False
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Home:
    """Where a part sits, as far as the part's own description hangs on it."""

    form: Sourced[str]
    width: int | None = None
    lanes: int | None = None
    split: tuple[int, ...] = ()
    power_w: float | None = None
    on_part: bool = False
    """On another part, whose receptacle below has to feed both: no draw is assumed then."""


def piece_in(home: Home, parts: Sequence[PartSeen], depth: int = 0) -> Piece:
    """The one part that the things seen in a receptacle make up."""
    first = parts[0]
    if first.kind == "passive carrier":
        fits = sum(_widths(home, first)) <= room_of(home.form.value)
        return _passive(home, first, depth) if fits else _card(home, first.inside)
    if len(parts) == 1 and first.kind in ("carrier", "switch") and depth < DEEPEST:
        return _switch(home, first, depth)
    return _card(home, parts)


def _card(home: Home, parts: Sequence[PartSeen]) -> Piece:
    """A part without receptacles; several devices under several ports are one card on each."""
    first = parts[0]
    functions = tuple(seen for part in parts for seen in every_function(part))
    functions = functions or (first.top,)
    kind = kind_of(functions[0].class_code)
    width, links = _plug(home, first, kind)
    if len(parts) > 1 and len(home.split) == len(parts) and home.form.value == "cem":
        links = Sourced(_side_by_side(home.split), "a link on each of the slot's ports")
        width = connector_for(min(sum(home.split), 16))
    graphics = width == 16 and any(
        (seen.class_code or 0) >> 8 == GRAPHICS_BASE_CLASS for seen in functions
    )
    return Piece(
        kind,
        first,
        functions,
        home.form,
        width,
        links,
        _generation(first.top),
        pitches=_pitches(home, kind, width),
        draw_w=_draw(home, width, graphics=graphics),
        graphics=graphics,
        remarks=_link_remarks(first, links),
    )


def _side_by_side(widths: Sequence[int], name: Callable[[int], str | None] | None = None) -> tuple[
    PlugLink, ...
]:  # fmt: skip
    starts = [sum(widths[:number]) for number in range(len(widths))]
    return tuple(
        PlugLink(at, lanes, name(number) if name else None)
        for number, (at, lanes) in enumerate(zip(starts, widths, strict=True))
    )


def _plug(home: Home, part: PartSeen, kind: PartKind) -> tuple[int | None, Links]:
    """The connector's size, for card edges, and the link on it."""
    room = home.width or home.lanes or room_of(home.form.value)
    lanes = part.top.link.lanes_max if part.top.link else None
    if lanes in regs.LEGAL_LANES and lanes:
        told: Links = Sourced((PlugLink(0, min(lanes, room)),), "LnkCap of the part")
        basis = lanes
    else:
        basis = max(one for one in regs.LEGAL_LANES if one <= max(min(kind.usual_lanes, room), 1))
        told = assumed((PlugLink(0, basis),), "the part's link is not known")
    return connector_for(min(basis, 16)) if home.form.value == "cem" else None, told


def _link_remarks(part: PartSeen, links: Links) -> tuple[str, ...]:
    lanes = part.top.link.lanes_max if part.top.link else None
    written = sum(link.lanes for link in links.value)
    if lanes and lanes > written:
        return (f"its link could be x{lanes}; where it sits there is room for {written}",)
    return ()


def _generation(top: FunctionSeen) -> Sourced[int] | None:
    found = top.link.generation_max if top.link else None
    return Sourced(found, f"LnkCap of {top.address}") if found and found <= 7 else None


def _trained(inside: Sequence[PartSeen]) -> Sourced[int] | None:
    """The fastest link that came up through wires of which nothing else is known."""
    links = [part.top.link for part in inside if part.top.link and part.top.link.lanes_now]
    found = max((link.generation_now or 0 for link in links), default=0)
    return Sourced(found, "a link of this rate is up through it") if 0 < found <= 7 else None


def _pitches(home: Home, kind: PartKind, width: int | None) -> int | None:
    if home.form.value != "cem":
        return None
    return kind.pitches if width == 16 else 1


def _draw(home: Home, width: int | None, *, graphics: bool) -> float | None:
    """The form's limit, or the slot's where that is less; nothing for a part on a part."""
    if home.on_part:
        return None
    usual = usual_draw_w(home.form.value, min(width or 0, home.width or width or 0) or width,
                         graphics=graphics)  # fmt: skip
    return min(usual, home.power_w) if usual and home.power_w else usual


def _widths(home: Home, part: PartSeen) -> tuple[int, ...]:
    """Lanes of each thing inside: of the ports as divided, else of the things themselves."""
    inside = part.inside[:MOST_SOCKETS]
    return home.split if len(home.split) == len(inside) else tuple(map(_link_lanes, inside))


def _passive(home: Home, part: PartSeen, depth: int) -> Piece:
    """Drives on several ports of one receptacle: a carrier that only leads lanes through."""
    inside = part.inside[:MOST_SOCKETS]
    widths = _widths(home, part)
    form = _socket_form(inside, max(widths))
    sockets = tuple(
        Socket(f"socket{number}", form.value, None, None,
               piece_in(Home(form, lanes=lanes, on_part=True), [inner], depth + 1))
        for number, (inner, lanes) in enumerate(zip(inside, widths, strict=True), start=1)
    )  # fmt: skip
    links = _side_by_side(widths, lambda number: sockets[number].id)
    total = sum(widths)
    return Piece(
        PartKind("carrier", "carrier"),
        part,
        (),
        home.form,
        connector_for(min(total, 16)) if home.form.value == "cem" else None,
        Sourced(links, "one link a port of the slot; which socket is on which lanes is assumed"),
        _trained(inside),
        sockets=sockets,
        pitches=1 if home.form.value == "cem" else None,
    )


def _link_lanes(part: PartSeen) -> int:
    lanes = part.top.link.lanes_max if part.top.link else None
    return min(lanes, 4) if lanes in regs.LEGAL_LANES and lanes else 4


def _socket_form(inside: Sequence[PartSeen], lanes: int) -> Sourced[str]:
    drives = all(part.main.class_code == regs.CLASS_NVME for part in inside)
    if drives and lanes <= room_of("m2-m"):
        return assumed("m2-m", "nothing tells an M.2 drive from one on a cable")
    return assumed("cem", "nothing names the connector")


def _empty_sockets(
    part: PartSeen, own: Sequence[FunctionSeen], used: Sequence[Socket]
) -> list[Socket]:
    """A socket for each port of a carrier that says it has a slot and has nothing below it."""
    held = {inner.port for inner in part.inside}
    form = used[0].form
    found: list[Socket] = []
    for port in own:
        if port.address in held or port.port_type != regs.DOWNSTREAM_PORT:
            continue
        lanes = port.link.lanes_max if port.link else None
        if not port.slot_implemented or lanes not in regs.LEGAL_LANES:
            continue
        lanes = min(lanes, room_of(form)) if lanes else None
        told = _generation(port)
        name = f"socket{len(used) + len(found) + 1}"
        found.append(Socket(name, form, lanes, told.value if told else None))
    return found[: MOST_SOCKETS - len(used)]


def _switch(home: Home, part: PartSeen, depth: int) -> Piece:
    """A part with a packet switch: one link up, a receptacle for each port down that is used."""
    own = tuple(sorted(part.functions, key=lambda seen: seen.address))
    ports = {seen.address: seen for seen in own}
    sockets = []
    for number, inner in enumerate(part.inside[:MOST_SOCKETS], start=1):
        down = ports.get(inner.port) if inner.port else None
        lanes = down.link.lanes_max if down and down.link else None
        lanes = lanes if lanes in regs.LEGAL_LANES else None
        form = _socket_form([inner], lanes or _link_lanes(inner))
        lanes = min(lanes, room_of(form.value)) if lanes else None
        told = _generation(down) if down else None
        generation = told.value if told else None
        held = piece_in(Home(form, lanes=lanes, on_part=True), [inner], depth + 1)
        sockets.append(Socket(f"socket{number}", form.value, lanes, generation, held))
    if part.kind == "carrier":
        sockets += _empty_sockets(part, own, sockets)
    kind = PartKind("carrier", "carrier") if part.kind == "carrier" else PartKind("other", "switch")
    width, links = _plug(home, part, PartKind("", "", usual_lanes=8))
    return Piece(
        kind,
        part,
        own or (part.top,),
        home.form,
        width,
        links,
        _generation(part.top),
        wiring="switch",
        sockets=tuple(sockets),
        pitches=_pitches(home, kind, width),
        remarks=_link_remarks(part, links),
    )


MOST_NUMBERS = 8
_NO_NAME = re.compile(r"^(?:device|unknown device)\b", re.IGNORECASE)


def name_of(piece: Piece, ids: PciIds | None) -> str:
    """The most telling name that anything gives: of the drive, the card, the chip, the class."""
    models = {drive.model for drive in piece.seen.drives if drive.model}
    if piece.kind.part_class == "drive" and len(models) == 1:
        model = said(models.pop())
        if model:
            return model
    if not piece.functions:
        return f"passive carrier with {len(piece.sockets)} drives"
    main = piece.functions[0]
    names = (main.product_name, main.subsystem_name, _listed_card(main, ids), main.name)
    for name in (*names, _listed_chip(main, ids)):
        shown = said(name)
        if shown and not _NO_NAME.match(shown):
            return shown
    return f"{class_words(main.class_code)} {numbers_of(main) or ''}".strip()


def _listed_card(seen: FunctionSeen, ids: PciIds | None) -> str | None:
    """The card's name in the public list, with its vendor's."""
    if ids is None or not _has_card(seen):
        return None
    vendor, card = seen.subsystem_vendor_id or 0, seen.subsystem_id or 0
    name = ids.subsystem(seen.vendor_id or 0, seen.device_id or 0, (vendor, card))
    return f"{ids.vendor(vendor) or ''} {name}" if name else None


def _listed_chip(seen: FunctionSeen, ids: PciIds | None) -> str | None:
    if ids is None or seen.vendor_id is None or seen.device_id is None:
        return None
    name = ids.device(seen.vendor_id, seen.device_id)
    return f"{ids.vendor(seen.vendor_id) or ''} {name}" if name else None


def recognised_by(piece: Piece) -> tuple[str, ...]:
    """Numbers of its functions; those of bridges only where it has no others."""
    plain = [seen for seen in piece.functions if not seen.is_bridge]
    found = (numbers_of(seen) for seen in plain or piece.functions)
    return tuple(dict.fromkeys(filter(None, found)))[:MOST_NUMBERS]


def numbers_of(seen: FunctionSeen) -> str | None:
    """
    Vendor and device, with the card's after a slash; None if not known.

    The form is that of `recognise` in a part's file.
    """
    if seen.vendor_id is None or seen.device_id is None:
        return None
    chip = f"{seen.vendor_id & 0xFFFF:04x}:{seen.device_id & 0xFFFF:04x}"
    if not _has_card(seen):
        return chip
    card = f"{(seen.subsystem_vendor_id or 0) & 0xFFFF:04x}:{(seen.subsystem_id or 0) & 0xFFFF:04x}"
    return f"{chip}/{card}"


def _has_card(seen: FunctionSeen) -> bool:
    return bool(seen.subsystem_vendor_id) and seen.subsystem_id is not None
