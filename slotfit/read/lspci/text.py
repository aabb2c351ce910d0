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
# What the public list of names calls them; a text shows nothing else that tells.
_VIRTUAL = re.compile(r"\bVirtual Function\b|\bVF\b")
_SHOWN = "Capabilities: ["
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
    shown = False
    for number, raw in lines:
        line = raw.strip()
        if not line or _HEX_LINE.match(line):
            continue
        header = header_of(line)
        if header:
            if current:
                functions.append(_finished(current, shown=shown))
            current = _started(header, Where(file, line=number))
            shown = False
        elif current:
            current = take(current, line)
            refused += _REFUSED in line
            shown = shown or line.startswith(_SHOWN) or " Cap- " in line
        else:
            orphans += line.startswith(_LINK_LINES)
    if current:
        functions.append(_finished(current, shown=shown))
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


def _finished(seen: FunctionSeen, *, shown: bool) -> FunctionSeen:
    """
    What the whole of a device's lines says, beside what each line says.

    A function that printed its class but no buses is no bridge; a bridge that printed its
    capabilities (`shown`) and none of PCI Express is a conventional one.
    A state of `Speed unknown, Width x0` without a capability is no link: integrated and virtual
    functions print that.
    """
    link = seen.link
    if link and not (link.lanes_max or link.generation_max or link.lanes_now):
        seen = replace(seen, link=None)
    if seen.is_bridge is None and seen.class_code is not None:
        seen = replace(seen, is_bridge=seen.class_code == regs.CLASS_PCI_BRIDGE)
    if seen.name and not seen.is_bridge and _VIRTUAL.search(seen.name):
        seen = replace(seen, is_virtual=True)
    if shown and seen.is_bridge and seen.port_type is None:
        seen = replace(seen, port_type=regs.CONVENTIONAL)
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
    first, *others = _listings(functions) or ([],)
    best = {function.address: function for function in first}
    twice = 0
    for listing in others:
        if _is_of_another_machine(listing, best):
            text = f"{len(listing)} devices from here on are another machine's; not used"
            notes.add("odd", f"{text}: give each machine its own file", listing[0].where)
            continue
        for function in listing:
            known = best.get(function.address)
            twice += known is not None
            if known is None or _weight(function) > _weight(known):
                best[function.address] = function
    if twice:
        notes.add("odd", f"{twice} addresses are listed more than once; the fuller one is used")
    return tuple(best.values())


def _listings(functions: list[FunctionSeen]) -> list[list[FunctionSeen]]:
    """The functions cut where an address comes that the listing has already."""
    found: list[list[FunctionSeen]] = []
    met: set[PciAddress] = set()
    for function in functions:
        if not found or function.address in met:
            found.append([])
            met = set()
        found[-1].append(function)
        met.add(function.address)
    return found


def _is_of_another_machine(
    listing: list[FunctionSeen], known: dict[PciAddress, FunctionSeen]
) -> bool:
    """Whether most of the devices at addresses that both have are not the same."""
    shared = [(one, known[one.address]) for one in listing if one.address in known]
    return sum(_differ(one, other) for one, other in shared) * 2 > len(shared)


def _differ(one: FunctionSeen, other: FunctionSeen) -> bool:
    """Numbers tell best; a name may be there in one listing and missing in the other."""
    numbers = [(seen.vendor_id, seen.device_id) for seen in (one, other)]
    if None not in (*numbers[0], *numbers[1]):
        return numbers[0] != numbers[1]
    return one.class_code != other.class_code or (
        one.name is not None and other.name is not None and one.name != other.name
    )


def _weight(function: FunctionSeen) -> int:
    return (
        (function.link is not None) * 4
        + (function.secondary_bus is not None) * 2
        + (function.numa_node is not None)
    )
