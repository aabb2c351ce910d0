"""
The lines under a device's header: each kind of line has one small reader, chosen by its first word.

The words and spellings are those of 2.2 to the present: speeds with or without marks in brackets,
slot numbers in hex up to 3.1.6 (`Slot # 40`) and in decimal from 3.1.7 (`Slot #40`), power limits
as `75.000000`, `75.000W` and `75W`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

from slotfit.read.pasted import Line, lines_of
from slotfit.read.seen import (
    MOST_DIGITS,
    FunctionSeen,
    LinkSeen,
    Notes,
    PciAddress,
    Reading,
    Where,
    whole_number,
)
from slotfit.standards import pci_regs as regs
from slotfit.standards.pci_regs import CLASS_OF_NAME

_ADDRESS = r"(?:[0-9a-f]{4,8}:)?[0-9a-f]{1,2}:[0-9a-f]{2}\.[0-7]"
_HEADER = re.compile(rf"({_ADDRESS}) (.+)", re.IGNORECASE)
# A header after other words in the line counts only with a class name of the list behind it.
_GLUED = re.compile(r"((?:[0-9a-f]{4}:)?[0-9a-f]{2}:[0-9a-f]{2}\.[0-7]) ([A-Z3].+)")
_QUOTED = re.compile(rf'({_ADDRESS}) "([^"]*)" "([^"]*)" "([^"]*)"(.*)', re.IGNORECASE)
_PROG_IF = re.compile(r"\s*\(prog-if ([0-9a-f]{2})[^)]*\)")
_REVISION = re.compile(r"\s*\(rev ([0-9a-f]{2})\)")
_CLASS_CODE = re.compile(r"(?:Class )?\[?([0-9a-f]{4})\]?", re.IGNORECASE)
_LOOSE_IDS = re.compile(r"\s*\[?\b([0-9a-f]{4}):([0-9a-f]{4})\]?", re.IGNORECASE)
_BRACKETED_IDS = re.compile(r"\s*\[([0-9a-f]{4}):([0-9a-f]{4})\]", re.IGNORECASE)


def header_of(text: str, where: Where) -> FunctionSeen | None:
    """The function whose header this line holds; None if it holds none."""
    found = _HEADER.match(text)
    if found:
        return _header(where, *found.groups()) or _quoted(text, where)
    # Cheap test first: nearly no line of the body has such a dot and colon pair.
    glued = _GLUED.search(text) if "." in text and text.count(":") > 1 else None
    seen = _header(where, *glued.groups()) if glued else None
    return seen if seen and (seen.class_name or "").lower() in CLASS_OF_NAME else None


def _header(where: Where, address_text: str, rest: str) -> FunctionSeen | None:
    address = PciAddress.read(address_text)
    class_text, colon, name = rest.partition(": ")
    if address is None or not (colon or rest.endswith(":")):
        return None
    class_name, code = _class(class_text.rstrip(":"))
    if class_name is None and code is None:
        return None
    prog_if, revision = _PROG_IF.search(name), _REVISION.search(name)
    name = _REVISION.sub("", _PROG_IF.sub("", name)).strip()
    ids = _BRACKETED_IDS.search(name) or _LOOSE_IDS.search(name)
    name = _BRACKETED_IDS.sub("", name).strip()
    return FunctionSeen(
        where=where,
        address=address,
        class_name=class_name,
        class_code=code,
        name=name or None,
        vendor_id=int(ids.group(1), 16) if ids else None,
        device_id=int(ids.group(2), 16) if ids else None,
        revision=int(revision.group(1), 16) if revision else None,
        prog_if=int(prog_if.group(1), 16) if prog_if else None,
    )


def _class(text: str) -> tuple[str | None, int | None]:
    """Name and code of the class; both None if the text cannot be one."""
    bare = _CLASS_CODE.fullmatch(text)
    if bare:
        return None, int(bare.group(1), 16)
    name, bracket, code = text.rpartition(" [")
    if bracket and _CLASS_CODE.fullmatch(code.rstrip("]")):
        return name, int(code.rstrip("]"), 16)
    if not text[:1].isalpha() and not text[:1].isdigit():
        return None, None
    if len(text) > 80:
        return None, None
    return text, CLASS_OF_NAME.get(text.lower())


def _quoted(text: str, where: Where) -> FunctionSeen | None:
    """The machine-readable form, -mm: quoted class, vendor, device."""
    found = _QUOTED.match(text)
    address = PciAddress.read(found.group(1)) if found else None
    if not found or not address:
        return None
    class_text, code = _class(found.group(2))
    vendor, device = found.group(3), found.group(4)
    pair = [re.search(r"\b([0-9a-f]{4})\]?$", part) for part in (vendor, device)]
    ids = [int(one.group(1), 16) for one in pair if one]
    revision = re.search(r"-r([0-9a-f]{2})", found.group(5))
    return FunctionSeen(
        where=where,
        address=address,
        class_name=class_text,
        class_code=code,
        name=f"{vendor} {device}".strip() or None,
        vendor_id=ids[0] if len(ids) == 2 else None,
        device_id=ids[1] if len(ids) == 2 else None,
        revision=int(revision.group(1), 16) if revision else None,
    )


_EXPRESS = re.compile(r"Express (?:\(v\d+\) )?(.*)")
_SPEED = re.compile(r"Speed (?:unknown|<?([0-9.]+)G[Tb]/s)")
_WIDTH = re.compile(r"Width x(\d+)")
# In 2007 it was `Slot: Number 1, PowerLimit 25.000000`, hexadecimal.
_SLOT = re.compile(r"Slot(?: #(\s*)|: .*Number )([0-9a-fA-F]+), PowerLimit >?([0-9.]+)")
_BUSES = re.compile(
    r"primary=([0-9a-f]{2}), secondary=([0-9a-f]{2}), subordinate=([0-9a-f]{2})", re.IGNORECASE
)
_IDS = re.compile(r"\[([0-9a-f]{4}):([0-9a-f]{4})\]|\b([0-9a-f]{4}):([0-9a-f]{4})$", re.IGNORECASE)
_SUPPORTED = re.compile(r"Supported Link Speeds: (?:[0-9.]+GT/s, |[0-9.]+-)*([0-9.]+)GT/s")

_PORT_WORDS = (
    ("Root Complex Integrated Endpoint", regs.INTEGRATED_ENDPOINT),
    ("Root Complex Event Collector", regs.EVENT_COLLECTOR),
    ("Legacy Endpoint", regs.LEGACY_ENDPOINT),
    ("Root Port", regs.ROOT_PORT),
    ("Upstream Port", regs.UPSTREAM_PORT),
    ("Downstream Port", regs.DOWNSTREAM_PORT),
    ("PCI-Express to PCI/PCI-X Bridge", regs.TO_PCI_BRIDGE),
    ("PCI/PCI-X to PCI-Express Bridge", regs.FROM_PCI_BRIDGE),
    ("PCI/PCI-X Bridge", regs.TO_PCI_BRIDGE),
    ("Endpoint", regs.ENDPOINT),
)

Reader = Callable[[FunctionSeen, str], FunctionSeen]


def _express(seen: FunctionSeen, text: str) -> FunctionSeen:
    """`Capabilities: [90] Express (v2) Root Port (Slot+), MSI 00`."""
    found = _EXPRESS.search(text)
    if not found or "Express" not in text.partition("]")[2][:12]:
        return seen
    rest = found.group(1)
    port = next((port for words, port in _PORT_WORDS if words in rest), None)
    if "Slot" not in rest or port not in regs.PORTS_WITH_SLOT_REGISTERS:
        return replace(seen, port_type=port or seen.port_type)
    return replace(seen, port_type=port, slot_implemented="Slot+" in rest)


def _generation(text: str) -> int | None:
    found = _SPEED.search(text)
    return regs.GENERATION_OF_GT_S.get(found.group(1) or "") if found else None


def _lanes(text: str) -> int | None:
    found = _WIDTH.search(text)
    return whole_number(found.group(1)) if found else None


def _link_able(seen: FunctionSeen, text: str) -> FunctionSeen:
    """`LnkCap: Port #1, Speed 5GT/s, Width x4, ...`; a width of 0 says nothing."""
    lanes, generation = _lanes(text), _generation(text)
    if not lanes and generation is None and "Port #" not in text:
        return seen
    link = seen.link or LinkSeen()
    return replace(seen, link=replace(link, lanes_max=lanes or None, generation_max=generation))


def _link_now(seen: FunctionSeen, text: str) -> FunctionSeen:
    """`LnkSta: Speed 2.5GT/s (downgraded), Width x4`; the mark in brackets is ignored."""
    link = seen.link or LinkSeen()
    link = replace(link, lanes_now=_lanes(text), generation_now=_generation(text))
    return _link_active(replace(seen, link=link), text)


def _link_active(seen: FunctionSeen, text: str) -> FunctionSeen:
    """
    Whether the data link is up: `DLActive`, in the state's line up to 3.5 and below it since.

    It means something only for a port that reports it: `LLActRep+`, which stands before it.
    """
    if not seen.link:
        return seen
    if "LLActRep+" in text:
        return replace(seen, link=replace(seen.link, active=False))
    if "DLActive+" in text and seen.link.active is not None:
        return replace(seen, link=replace(seen.link, active=True))
    return seen


def _link_able_2(seen: FunctionSeen, text: str) -> FunctionSeen:
    """`LnkCap2: Supported Link Speeds: 2.5-8GT/s, ...`."""
    found = _SUPPORTED.search(text)
    if not found or not seen.link:
        return seen
    generation = regs.GENERATION_OF_GT_S.get(found.group(1))
    return replace(seen, link=replace(seen.link, generation_supported=generation))


def _old_link(seen: FunctionSeen, text: str) -> FunctionSeen:
    """`Link: Supported Speed 2.5Gb/s, Width x4, ...` then `Link: Speed 2.5Gb/s, Width x4`."""
    link = seen.link or LinkSeen()
    if "Supported Speed" in text:
        link = replace(link, lanes_max=_lanes(text) or None, generation_max=_generation(text))
    elif "Speed" in text:
        link = replace(link, lanes_now=_lanes(text), generation_now=_generation(text))
    return replace(seen, link=link)


def _slot(seen: FunctionSeen, text: str) -> FunctionSeen:
    """
    `Slot #5, PowerLimit 75W`; a space after `#` marks the time when it was hexadecimal.

    A limit of 0 is not said; `>600` (some versions print that) neither.
    """
    found = _SLOT.search(text)
    if not found or max(map(len, found.groups(""))) > MOST_DIGITS:
        return seen
    padding, number, power = found.groups()
    is_hexadecimal = padding != "" or not number.isdecimal()  # before 2008 there was no `#`
    try:
        watts = float(power)
    except ValueError:
        watts = 0.0
    slot_number = int(number, 16 if is_hexadecimal else 10)
    return replace(seen, slot_number=slot_number, slot_power_w=watts or None)


def _buses(seen: FunctionSeen, text: str) -> FunctionSeen:
    found = _BUSES.search(text)
    if not found:
        return seen
    primary, secondary, subordinate = (int(number, 16) for number in found.groups())
    return replace(
        seen,
        is_bridge=True,
        primary_bus=primary,
        secondary_bus=secondary,
        subordinate_bus=subordinate,
    )


def _subsystem(seen: FunctionSeen, text: str) -> FunctionSeen:
    value = text.partition("Subsystem: ")[2].strip()
    if not value or seen.subsystem_name:
        return seen
    ids = _IDS.search(value)
    numbers = [int(number, 16) for number in ids.groups() if number] if ids else [None, None]
    name = _IDS.sub("", value).strip()
    return replace(
        seen,
        subsystem_name=name or None,
        subsystem_vendor_id=numbers[0],
        subsystem_id=numbers[1],
    )


def _acs(seen: FunctionSeen, text: str) -> FunctionSeen:
    words = tuple(word for word in regs.ACS_BITS.values() if f"{word}+" in text)
    if text.startswith("ACSCap"):
        return replace(seen, acs_capable=words)
    return replace(seen, acs_enabled=words)


_FLAGS = {
    "CorrErr+": "corrected", "NonFatalErr+": "nonfatal", "FatalErr+": "fatal",
    "UnsupReq+": "unsupported", "UncorrErr+": "nonfatal",
}  # fmt: skip


def _device_status(seen: FunctionSeen, text: str) -> FunctionSeen:
    """`DevSta: CorrErr+ NonFatalErr- FatalErr- UnsupReq-`, or the older `UncorrErr`."""
    words = text.split()
    return replace(seen, flagged=tuple(flag for word, flag in _FLAGS.items() if word in words))


def _value(text: str) -> str | None:
    return text.partition(":")[2].strip() or None


READERS: dict[str, Reader] = {
    "DevSta": _device_status,
    "LnkCap": _link_able,
    "LnkSta": _link_now,
    "LnkCap2": _link_able_2,
    "Link": _old_link,
    "SltCap": lambda seen, text: (
        replace(seen, hot_plug="HotPlug+" in text) if "HotPlug" in text else seen
    ),
    # SltCtl has the same word for something else.
    "SltSta": lambda seen, text: (
        replace(seen, card_present="PresDet+" in text) if "PresDet" in text else seen
    ),
    "Slot": _slot,
    "Bus": _buses,
    "Subsystem": _subsystem,
    "ACSCap": _acs,
    "ACSCtl": _acs,
    "Physical Slot": lambda seen, text: replace(seen, physical_slot=_value(text)),
    "NUMA node": lambda seen, text: replace(
        seen, numa_node=whole_number(text.partition(":")[2].strip())
    ),
    "IOMMU group": lambda seen, text: replace(
        seen, iommu_group=whole_number(text.partition(":")[2].strip())
    ),
    "Kernel driver in use": lambda seen, text: replace(seen, driver=_value(text)),
    "DeviceName": lambda seen, text: replace(seen, label=_value(text)),
    "Product Name": lambda seen, text: replace(seen, product_name=_value(text)),
}


def take(seen: FunctionSeen, text: str) -> FunctionSeen:
    """The function with what this line (no leading space) adds."""
    key = text.partition(":")[0]
    if key == "Capabilities":
        if "Subsystem: " in text:
            return _subsystem(seen, text)
        return _express(seen, text)
    reader = READERS.get(key)
    if reader:
        return reader(seen, text)
    if text.startswith("Slot #"):
        return _slot(seen, text)
    if text.startswith(("TrErr", "ClockPM")):
        return _link_active(seen, text)
    return seen


_HEX_LINE = re.compile(r"[0-9a-f]{2,3}:(?: [0-9a-f]{2})+$")
_WRAPPED = re.compile(r"Lnk(?:Cap|Sta):.*(?:Speed|,|Width|ASPM|L0s|Exit|Latency)$")
_REFUSED = "<access denied>"
# What the public list of names calls them; a text shows nothing else that tells.
_VIRTUAL = re.compile(r"\bVirtual Function\b|\bVF\b")
_SHOWN = "Capabilities: ["
_LINK_LINES = ("LnkCap:", "LnkSta:")


def parse_text(text: str, file: str) -> Reading:
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
        header = header_of(line, Where(file, line=number))
        if header:
            if current:
                functions.append(_finished(current, shown=shown))
            current = header
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
        before = joined[-1][1].rstrip() if joined else ""
        is_wrapped = "Lnk" in before and "Width x" not in before and _WRAPPED.search(before)
        if is_wrapped and line.strip():
            joined[-1] = (joined[-1][0], f"{joined[-1][1].rstrip()} {line.strip()}")
        else:
            joined.append((number, line))
    return joined


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
