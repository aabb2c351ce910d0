"""
Verbose text, -v to -vvv, of any version from 2.2, as printed or as pasted.

Indentation and blank lines decide nothing: a device ends where the next header stands.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from slotfit.read.lspci.body import take
from slotfit.read.lspci.header import Header, header_of
from slotfit.read.pasted import Line, lines_of
from slotfit.read.seen import FunctionSeen, Notes, PciAddress, Reading, Where
from slotfit.standards import pci_regs as regs

_HEX_LINE = re.compile(r"[0-9a-f]{2,3}:(?: [0-9a-f]{2})+$")
_WRAPPED = re.compile(r"Lnk(?:Cap|Sta):.*(?:Speed|,|Width|ASPM|L0s|Exit|Latency)$")
_REFUSED = "<access denied>"
_LINK_LINES = ("LnkCap:", "LnkSta:")


def parse(text: str, file: str) -> Reading:
    """
    The functions the text shows, in its order. Never raises.

    A text without link lines because its maker lacked the rights gets a `not-read` note.
    """
    notes = Notes(file)
    lines = _without_wraps(lines_of(text))
    functions: list[FunctionSeen] = []
    refused = orphans = 0
    current: FunctionSeen | None = None
    for number, raw in lines:
        line = raw.strip()
        if not line or _HEX_LINE.match(line):
            continue
        header = header_of(line)
        if header:
            if current:
                functions.append(_finished(current))
            current = _started(header, Where(file, line=number))
        elif current:
            current = take(current, line)
            refused += _REFUSED in line
        else:
            orphans += line.startswith(_LINK_LINES)
    if current:
        functions.append(_finished(current))
    _note_gaps(notes, refused, orphans)
    return Reading("lspci text", file, functions=_once(functions, notes), notes=notes.done())


def _without_wraps(lines: Sequence[Line]) -> list[Line]:
    """Joins a link line that mail broke before its width with the line after it."""
    joined: list[Line] = []
    for number, line in lines:
        if joined and line.strip() and _is_wrapped(joined[-1][1]):
            joined[-1] = (joined[-1][0], f"{joined[-1][1].rstrip()} {line.strip()}")
        else:
            joined.append((number, line))
    return joined


def _is_wrapped(line: str) -> bool:
    return "Lnk" in line and "Width x" not in line and bool(_WRAPPED.search(line.rstrip()))


def _started(header: Header, where: Where) -> FunctionSeen:
    vendor, device = header.ids or (None, None)
    return FunctionSeen(
        where=where,
        address=header.address,
        class_code=header.class_code,
        prog_if=header.prog_if,
        class_name=header.class_name,
        name=header.name,
        vendor_id=vendor,
        device_id=device,
        revision=header.revision,
    )


def _finished(seen: FunctionSeen) -> FunctionSeen:
    """
    A function that printed its class but no buses is no bridge.

    A state of `Speed unknown, Width x0` without a capability is no link: integrated and virtual
    functions print that.
    """
    link = seen.link
    if link and not (link.lanes_max or link.generation_max or link.lanes_now):
        seen = replace(seen, link=None)
    if seen.is_bridge is None and seen.class_code is not None:
        seen = replace(seen, is_bridge=seen.class_code == regs.CLASS_PCI_BRIDGE)
    return seen


def _note_gaps(notes: Notes, refused: int, orphans: int) -> None:
    if refused:
        notes.add(
            "not-read",
            f"{refused} functions hid their capabilities (no link lines): run lspci as root",
        )
    if orphans:
        notes.add("damaged", f"{orphans} link lines stand under no device line; not used")


def _once(functions: list[FunctionSeen], notes: Notes) -> tuple[FunctionSeen, ...]:
    """One entry an address; of two, the one that says more (a text may hold two listings)."""
    best: dict[PciAddress, FunctionSeen] = {}
    twice = 0
    for function in functions:
        known = best.get(function.address)
        twice += known is not None
        if known is None or _weight(function) > _weight(known):
            best[function.address] = function
    if twice:
        notes.add("odd", f"{twice} addresses are listed more than once; the fuller one is used")
    return tuple(best.values())


def _weight(function: FunctionSeen) -> int:
    return (
        (function.link is not None) * 4
        + (function.secondary_bus is not None) * 2
        + (function.numa_node is not None)
    )
