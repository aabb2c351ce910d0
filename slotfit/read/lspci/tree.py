"""
The tree of -t, with or without names and numbers: which bus hangs below which bridge.

Columns carry the meaning: a `+-` or `\\-` continues the bus whose first child opened that column.
"""

from __future__ import annotations

import re
from dataclasses import replace

from slotfit.read.pasted import lines_of
from slotfit.read.seen import FunctionSeen, Notes, PciAddress, Reading, Where

_ROOT = re.compile(r"\[(?:([0-9a-f]{4,8}):)?([0-9a-f]{2})(?:-([0-9a-f]{2}))?\]")
_DEVICE = re.compile(r"([0-9a-f]{2})\.([0-7])")
_NUMBERS = re.compile(r"\[([0-9a-f]{4}):([0-9a-f]{4})\]")
_TREE_LINE = re.compile(r"^[\s|]*[-+\\][-+\[]")
_TRIMMED = re.compile(r"[+\\]-\[[0-9a-f]{4,8}:")
_NEW_ROOT = re.compile(r"[ ]*[-+\\]-\[[0-9a-f]{4,8}:")
_ROOT_LEVEL = (-1, -1)

Bus = tuple[int, int]


def parse(text: str, file: str) -> Reading:
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
