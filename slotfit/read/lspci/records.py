"""
Records for programs, -vmm: a field a line, a blank line after each device.

The older -vm calls the address `Device` as well as the name. Neither shows links or buses, but the
system's name of the slot, the node and the isolation group. Source: the tool's manual page.
"""

from __future__ import annotations

import re

from slotfit.read.pasted import lines_of
from slotfit.read.seen import FunctionSeen, PciAddress, Reading, Where
from slotfit.standards import pci_regs as regs

_START = re.compile(
    r"^(?:Slot|Device):\s+((?:[0-9a-f]{4,8}:)?[0-9a-f]{2}:[0-9a-f]{2}\.[0-7])$", re.MULTILINE
)
_NUMBER = re.compile(r"\s*\[?\b([0-9a-f]{4})\]?$")

Fields = dict[str, str]


def looks_like_records(text: str) -> bool:
    """Whether any line starts a record."""
    return _START.search(text) is not None


def parse(text: str, file: str) -> Reading:
    """The functions that the records show. Never raises."""
    found: dict[PciAddress, FunctionSeen] = {}
    where, fields = Where(file), Fields()
    for number, raw in (*lines_of(text), (0, "Slot: 00:00.0")):
        line = raw.strip()
        if _START.match(line):
            seen = _function(where, fields)
            if seen:
                found.setdefault(seen.address, seen)
            where, fields = Where(file, line=number), {"Slot": line.partition(":")[2].strip()}
            continue
        key, colon, value = line.partition(":")
        if colon and "Slot" in fields:
            fields.setdefault(key, value.strip())
    return Reading("lspci text", file, functions=tuple(found.values()))


def _function(where: Where, fields: Fields) -> FunctionSeen | None:
    address = PciAddress.read(fields.get("Slot", ""))
    if address is None or "Class" not in fields:
        return None
    class_name, class_code = _split(fields["Class"])
    vendor, vendor_id = _split(fields.get("Vendor", ""))
    device, device_id = _split(fields.get("Device", ""))
    card_vendor, card_vendor_id = _split(fields.get("SVendor", ""))
    card, card_id = _split(fields.get("SDevice", ""))
    if class_code is None and class_name:
        class_code = regs.CLASS_OF_NAME.get(class_name.lower())
    return FunctionSeen(
        where=where,
        address=address,
        class_code=class_code,
        class_name=class_name,
        name=" ".join(filter(None, (vendor, device))) or None,
        vendor_id=vendor_id,
        device_id=device_id,
        subsystem_vendor_id=card_vendor_id,
        subsystem_id=card_id,
        subsystem_name=" ".join(filter(None, (card_vendor, card))) or None,
        driver=fields.get("Driver"),
        is_bridge=None if class_code is None else class_code == regs.CLASS_PCI_BRIDGE,
        physical_slot=fields.get("PhySlot"),
        numa_node=_decimal(fields.get("NUMANode")),
        iommu_group=_decimal(fields.get("IOMMUGroup")),
    )


def _split(text: str) -> tuple[str | None, int | None]:
    """Name and number of `A name [1234]`, with -n of `1234` alone."""
    number = _NUMBER.search(text)
    if number is None or ("[" not in text and number.start() > 0):
        return text or None, None
    return text[: number.start()] or None, int(number.group(1), 16)


def _decimal(text: str | None) -> int | None:
    return int(text) if text and text.isdecimal() and len(text) < 10 else None
