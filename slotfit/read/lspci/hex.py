"""
Register dumps in hex: -x (64 bytes), -xxx (256), -xxxx (4096), after each device or alone.

The listing tool itself refuses a whole dump if one line of it is broken; here only that line's
device loses what follows.
"""

from __future__ import annotations

import re

from slotfit.read.config_space import FULL_BYTES, decode
from slotfit.read.lspci.header import header_of
from slotfit.read.pasted import lines_of
from slotfit.read.seen import FunctionSeen, Notes, PciAddress, Reading, Where

_LINE = re.compile(r"([0-9a-fA-F]{2,3}):((?: [0-9a-fA-F]{2}){1,16})(?!\S)")
_BARE_ADDRESS = re.compile(r"((?:[0-9a-fA-F]{4,8}:)?[0-9a-fA-F]{2}:[0-9a-fA-F]{2}\.[0-7])\b")


def parse(text: str, file: str) -> Reading:
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
        address = _address_of(line)
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


def _address_of(line: str) -> PciAddress | None:
    """The address of a device line; our own bundle writes the bare address."""
    header = header_of(line)
    if header:
        return header.address
    bare = _BARE_ADDRESS.match(line)
    return PciAddress.read(bare.group(1)) if bare else None


def _take(data: bytearray, at: int, digits: str, number: int, notes: Notes) -> None:
    """Adds one line's bytes where they follow on; a gap would shift every register after it."""
    values = bytes.fromhex(digits)
    if at == len(data) and at + len(values) <= FULL_BYTES:
        data.extend(values)
    elif at > len(data):
        where = Where(notes.file, line=number)
        notes.add("damaged", "bytes are missing before this line; not used", where)
