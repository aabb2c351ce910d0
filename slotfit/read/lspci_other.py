"""
The tree of -t, with or without names and numbers: which bus hangs below which bridge.

Columns carry the meaning: a `+-` or `\\-` continues the bus whose first child opened that column.
"""

from __future__ import annotations

import re
from dataclasses import replace

from slotfit.read.config_space import FULL_BYTES, decode
from slotfit.read.lspci_text import header_of
from slotfit.read.pasted import lines_of
from slotfit.read.seen import FunctionSeen, Notes, PciAddress, Reading, Where, whole_number
from slotfit.standards import pci_regs as regs

_LINE = re.compile(r"([0-9a-fA-F]{2,3}):((?: [0-9a-fA-F]{2}){1,16})(?!\S)")
_BARE_ADDRESS = re.compile(r"((?:[0-9a-fA-F]{4,8}:)?[0-9a-fA-F]{2}:[0-9a-fA-F]{2}\.[0-7])\b")


def parse_hex(text: str, file: str) -> Reading:
    """The functions whose registers are dumped, decoded by us. Never raises."""
    notes = Notes(file)
    dumps: dict[PciAddress, tuple[Where, bytearray]] = {}
    current: tuple[Where, bytearray] | None = None
    for number, raw in lines_of(text):
        line = raw.strip()
        found = _LINE.match(line)
        if found:
            if current:
                _take(current[1], int(found.group(1), 16), found.group(2), number, notes)
            continue
        header, bare = header_of(line, Where(file)), _BARE_ADDRESS.match(line)
        # Our own bundle writes the bare address.
        address = header.address if header else PciAddress.read(bare.group(1)) if bare else None
        if address:
            current = (Where(file, line=number), bytearray())
            if address not in dumps or not dumps[address][1]:
                dumps[address] = current
    functions: list[FunctionSeen] = []
    for address, (where, data) in dumps.items():
        seen = decode(bytes(data), address, where) if data else None
        if seen:
            functions.append(seen)
    return Reading("lspci hex", file, functions=tuple(functions), notes=notes.done())


def _take(data: bytearray, at: int, digits: str, number: int, notes: Notes) -> None:
    """Adds one line's bytes where they follow on; a gap would shift every register after it."""
    values = bytes.fromhex(digits)
    if at == len(data) and at + len(values) <= FULL_BYTES:
        data.extend(values)
    elif at > len(data):
        where = Where(notes.file, line=number)
        notes.add("damaged", "bytes are missing before this line; not used", where)


_START = re.compile(
    r"^(?:Slot|Device):\s+((?:[0-9a-f]{4,8}:)?[0-9a-f]{2}:[0-9a-f]{2}\.[0-7])$", re.MULTILINE
)
_NUMBER = re.compile(r"\s*\[?\b([0-9a-f]{4})\]?$")

Fields = dict[str, str]


def looks_like_records(text: str) -> bool:
    """Whether any line starts a record."""
    return _START.search(text) is not None


def parse_records(text: str, file: str) -> Reading:
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
        numa_node=whole_number(fields.get("NUMANode")),
        iommu_group=whole_number(fields.get("IOMMUGroup")),
    )


def _split(text: str) -> tuple[str | None, int | None]:
    """Name and number of `A name [1234]`, with -n of `1234` alone."""
    number = _NUMBER.search(text)
    if number is None or ("[" not in text and number.start() > 0):
        return text or None, None
    return text[: number.start()] or None, int(number.group(1), 16)


_ROOT = re.compile(r"\[(?:([0-9a-f]{4,8}):)?([0-9a-f]{2})(?:-([0-9a-f]{2}))?\]")
_DEVICE = re.compile(r"([0-9a-f]{2})\.([0-7])")
_NUMBERS = re.compile(r"\[([0-9a-f]{4}):([0-9a-f]{4})\]")
_TREE_LINE = re.compile(r"^[\s|]*[-+\\][-+\[]")
_TRIMMED = re.compile(r"[+\\]-\[[0-9a-f]{4,8}:")
_NEW_ROOT = re.compile(r"[ ]*[-+\\]-\[[0-9a-f]{4,8}:")
_ROOT_LEVEL = (-1, -1)

Bus = tuple[int, int]


def parse_tree(text: str, file: str) -> Reading:
    """The functions the tree names; bridges have their secondary bus. Never raises."""
    notes = Notes(file)
    walk = _Walk(file)
    for number, line in lines_of(text):
        if _TREE_LINE.match(line):
            # A root bus after the first stands one column in; trimming a paste takes that away.
            walk.line(f" {line}" if _TRIMMED.match(line) else line, number)
    if walk.lost:
        text = f"{walk.lost} lines of the tree do not line up with those above; not used"
        notes.add("damaged", f"{text}: give it as a file, or pasted with its spaces")
    return Reading("lspci tree", file, functions=tuple(walk.found.values()), notes=notes.done())


def looks_like_tree(text: str) -> bool:
    """Whether any line is one of a tree."""
    return any(_TREE_LINE.match(line) and _ROOT.search(line) for _, line in lines_of(text))


class _Walk:
    """Where the walk stands: which bus each open column belongs to, and what was found."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.columns: dict[int, Bus] = {}
        self.found: dict[PciAddress, FunctionSeen] = {}
        self.lost = 0

    def line(self, text: str, number: int) -> None:
        at = next((i for i, sign in enumerate(text) if sign in "+\\-"), len(text))
        first = (text[at] == "-" and not text[:at].strip()) or bool(_NEW_ROOT.match(text))
        bars = [i for i, sign in enumerate(text[:at]) if sign == "|"]
        if not first and any(i not in self.columns for i in (*bars, at)):
            self.lost += 1
            return
        bus = _ROOT_LEVEL if first else self.columns[at]
        self.columns = {i: below for i, below in self.columns.items() if i < at}
        last: PciAddress | None = None
        while at < len(text):
            sign = text[at]
            if sign in "-+\\":
                if sign == "+":
                    self.columns[at] = bus
                at += 1
                continue
            below = _ROOT.match(text, at)
            if below:
                bus = self._enter(below, bus, last)
                at = below.end()
                continue
            device = _DEVICE.match(text, at)
            if not device or bus == _ROOT_LEVEL:
                return
            last = self._meet(device, bus, number, text[device.end() :])
            at = device.end()

    def _enter(self, below: re.Match[str], bus: Bus, last: PciAddress | None) -> Bus:
        """A bracket: a root bus, or the bus below the bridge just met."""
        domain, first, final = below.groups()
        entered = (int(domain, 16) if domain else max(bus[0], 0), int(first, 16))
        if last:
            bridge = replace(
                self.found[last],
                is_bridge=True,
                secondary_bus=entered[1],
                subordinate_bus=int(final or first, 16),
            )
            self.found[last] = bridge
        return entered

    def _meet(self, device: re.Match[str], bus: Bus, number: int, rest: str) -> PciAddress:
        address = PciAddress(*bus, int(device.group(1), 16) & 0x1F, int(device.group(2)))
        name = rest.strip() if rest.startswith("  ") else ""
        ids = _NUMBERS.search(name)
        self.found[address] = FunctionSeen(
            where=Where(self.file, line=number),
            address=address,
            name=_NUMBERS.sub("", name).strip() or None,
            vendor_id=int(ids.group(1), 16) if ids else None,
            device_id=int(ids.group(2), 16) if ids else None,
        )
        return address
