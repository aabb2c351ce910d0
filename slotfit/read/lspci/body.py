"""
The lines under a device's header: each kind of line has one small reader, chosen by its first word.

The words and spellings are those of 2.2 to the present: speeds with or without marks in brackets,
slot numbers in hex up to 3.1.6 (`Slot # 40`) and in decimal from 3.1.7 (`Slot #40`), power limits
as `75.000000`, `75.000W` and `75W`.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from slotfit.read.seen import FunctionSeen, LinkSeen
from slotfit.standards import pci_regs as regs

_EXPRESS = re.compile(r"Express (?:\(v\d+\) )?(.*)")
_SPEED = re.compile(r"Speed (?:unknown|<?([0-9.]+)G[Tb]/s)")
_WIDTH = re.compile(r"Width x(\d+)")
_SLOT = re.compile(r"Slot #(\s*)([0-9a-fA-F]+), PowerLimit >?([0-9.]+)")
_OLD_SLOT = re.compile(r"Slot: .*Number ([0-9a-fA-F]+), PowerLimit ([0-9.]+)")
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
    return int(found.group(1)) if found else None


def _link_able(seen: FunctionSeen, text: str) -> FunctionSeen:
    """`LnkCap: Port #1, Speed 5GT/s, Width x4, ...`; a width of 0 says nothing."""
    lanes, generation = _lanes(text), _generation(text)
    if not lanes and generation is None and "Port #" not in text:
        return seen
    link = seen.link or LinkSeen()
    return replace(seen, link=replace(link, lanes_max=lanes or None, generation_max=generation))


def _link_now(seen: FunctionSeen, text: str) -> FunctionSeen:
    """`LnkSta: Speed 2.5GT/s (downgraded), Width x4`; the mark in brackets is ignored."""
    link = replace(
        seen.link or LinkSeen(), lanes_now=_lanes(text), generation_now=_generation(text)
    )
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
    """`Slot #5, PowerLimit 75W`; a space after `#` marks the time when it was hexadecimal."""
    found = _SLOT.search(text)
    if not found:
        return seen
    padding, number, power = found.groups()
    hexadecimal = bool(padding) or not number.isdecimal()
    return _with_slot(seen, int(number, 16 if hexadecimal else 10), power)


def _old_slot(seen: FunctionSeen, text: str) -> FunctionSeen:
    """`Slot: Number 1, PowerLimit 25.000000` (2007), hexadecimal."""
    found = _OLD_SLOT.search(text)
    return _with_slot(seen, int(found.group(1), 16), found.group(2)) if found else seen


def _with_slot(seen: FunctionSeen, number: int, power: str) -> FunctionSeen:
    """A limit of 0 is not said; `>600` (some versions print that) neither."""
    try:
        watts = float(power)
    except ValueError:
        watts = 0.0
    return replace(seen, slot_number=number, slot_power_w=watts or None)


def _slot_able(seen: FunctionSeen, text: str) -> FunctionSeen:
    if "HotPlug" not in text:
        return seen
    return replace(seen, hot_plug="HotPlug+" in text)


def _slot_now(seen: FunctionSeen, text: str) -> FunctionSeen:
    """`SltSta: Status: ... PresDet+`; SltCtl has the same word for something else."""
    return replace(seen, card_present="PresDet+" in text) if "PresDet" in text else seen


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


def _number_after_colon(text: str) -> int | None:
    value = text.partition(":")[2].strip()
    return int(value) if value.isdecimal() and len(value) < 10 else None


def _value(text: str) -> str | None:
    return text.partition(":")[2].strip() or None


READERS: dict[str, Reader] = {
    "LnkCap": _link_able,
    "LnkSta": _link_now,
    "LnkCap2": _link_able_2,
    "Link": _old_link,
    "SltCap": _slot_able,
    "SltSta": _slot_now,
    "Slot": _old_slot,
    "Bus": _buses,
    "Subsystem": _subsystem,
    "ACSCap": _acs,
    "ACSCtl": _acs,
    "Physical Slot": lambda seen, text: replace(seen, physical_slot=_value(text)),
    "NUMA node": lambda seen, text: replace(seen, numa_node=_number_after_colon(text)),
    "IOMMU group": lambda seen, text: replace(seen, iommu_group=_number_after_colon(text)),
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
