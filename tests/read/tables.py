"""Builds SMBIOS tables byte by byte from DSP0134, so that what a reader should say is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

END = bytes((127, 4, 0xFE, 0xFF, 0, 0))


def structure(kind: int, handle: int, rest: bytes, *strings: str) -> bytes:
    """One structure: header, formatted part, strings (DSP0134 6.1)."""
    header = bytes((kind, 4 + len(rest))) + handle.to_bytes(2, "little")
    text = b"".join(string.encode() + b"\0" for string in strings) or b"\0"
    return header + rest + text + b"\0"


def dump(*structures: bytes, version: tuple[int, int] = (3, 5)) -> bytes:
    """A whole dump: a 64-bit entry point that names offset 32, then the table (5.2.2)."""
    table = b"".join(structures) + END
    point = bytearray(b"_SM3_\0\x18" + bytes((*version, 0, 1, 0)))
    point += len(table).to_bytes(4, "little") + (32).to_bytes(8, "little")
    point[5] = -sum(point) & 0xFF
    return bytes(point).ljust(32, b"\0") + table


@dataclass(frozen=True)
class Slot:
    """One type 9 structure to be; `length` counts from the structure's start."""

    designation: str = "SLOT1"
    kind: int = 0xBD
    width: int = 0x0D
    usage: int = 3
    slot_length: int = 4
    slot_id: int = 1
    traits: tuple[int, int] = (4, 1)
    segment: int = 0
    bus: int = 0x41
    devfn: int = 0
    base_width: int = 8
    peers: Sequence[tuple[int, int, int, int]] = ()
    information: int = 0
    physical: int = 0
    pitch: int = 0
    height: int = 0
    gap: bool = False
    level: str = "3.5"
    """Which version's length: 2.0, 2.1, 2.6, 3.2, 3.4 or 3.5."""
    extra: bytes = field(default=b"")

    def pack(self, handle: int) -> bytes:
        """The structure's bytes."""
        base = bytes((1, self.kind, self.width, self.usage, self.slot_length, self.slot_id, 0))
        parts = [base + bytes((self.traits[0],)), bytes((self.traits[1],))]
        parts.append(self.segment.to_bytes(2, "little") + bytes((self.bus, self.devfn)))
        peers = b"".join(
            segment.to_bytes(2, "little") + bytes((bus, devfn, width))
            for segment, bus, devfn, width in self.peers
        )
        parts.append(bytes((self.base_width, len(self.peers))) + peers)
        extended = bytes((self.information, self.physical)) + self.pitch.to_bytes(2, "little")
        parts.append((b"\0" if self.gap else b"") + extended)
        parts.append(bytes((self.height,)))
        keep = ("2.0", "2.1", "2.6", "3.2", "3.4", "3.5").index(self.level) + 1
        return structure(9, handle, b"".join(parts[:keep]) + self.extra, self.designation)


def processor(handle: int, designation: str, *, populated: bool) -> bytes:
    """A type 4 structure of version 2.0's length with its status (DSP0134 7.5)."""
    body = bytearray(0x1A - 4)
    body[0] = 1
    body[0x18 - 4] = 0x41 if populated else 0
    return structure(4, handle, bytes(body), designation)


def onboard(handle: int, designation: str, bus: int, devfn: int) -> bytes:
    """A type 41 structure: an Ethernet device, enabled (DSP0134 7.42)."""
    return structure(41, handle, bytes((1, 0x85, 1, 0, 0, bus, devfn)), designation)
