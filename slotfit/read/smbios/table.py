"""
The binary table: entry points, and the walk over its structures.

Source: DSP0134 5.2 (entry points) and 6.1 (structures), as implemented by the usual decoding tool.
Lengths and counts in a table are claims: each is checked against the bytes that are there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from slotfit.read.seen import Notes, Where

END_OF_TABLE = 127
MAX_STRUCTURES = 20_000
_ANCHORS = (b"_SM3_", b"_SM_", b"_DMI_")


@dataclass(frozen=True)
class Structure:
    """One structure: `body` is the formatted part with its header, `text` the strings after it."""

    kind: int
    handle: int
    offset: int
    body: bytes
    text: bytes

    def byte(self, at: int) -> int | None:
        """The byte at offset `at`; None if the record is too short."""
        return self.body[at] if at < len(self.body) else None

    def word(self, at: int) -> int | None:
        """The little-endian word at offset `at`; None if the record is too short."""
        return (
            int.from_bytes(self.body[at : at + 2], "little") if at + 2 <= len(self.body) else None
        )

    @cached_property
    def strings(self) -> tuple[str, ...]:
        """The strings, first to last; what is no UTF-8 is replaced."""
        if not self.text:
            return ()
        return tuple(part.decode("utf-8", "replace").strip() for part in self.text.split(b"\0"))

    def string(self, at: int) -> str | None:
        """The string whose number stands at offset `at`; None if none or a number beyond them."""
        number = self.byte(at)
        if not number or number > len(self.strings):
            return None
        return self.strings[number - 1] or None


@dataclass(frozen=True, slots=True)
class Table:
    """The table's bytes, where they start in the file, and the version the entry point claims."""

    data: bytes
    offset: int = 0
    version: tuple[int, int] | None = None


def _claims(dump: bytes) -> tuple[tuple[int, int] | None, int, int, int]:
    """Version, table address, table length and own length, as the entry point says them."""
    number = int.from_bytes
    if dump.startswith(b"_SM3_"):
        return (
            (dump[7], dump[8]),
            number(dump[16:24], "little"),
            number(dump[12:16], "little"),
            dump[6],
        )
    if dump.startswith(b"_SM_"):
        return (
            (dump[6], dump[7]),
            number(dump[24:28], "little"),
            number(dump[22:24], "little"),
            dump[5],
        )
    version = (dump[14] >> 4, dump[14] & 0xF)
    return version, number(dump[8:12], "little"), number(dump[6:8], "little"), 15


def find_table(dump: bytes) -> Table:
    """
    The table inside a dump.

    A dump made by the decoding tool holds the table at the address its entry point names; files
    simply put together hold it right after the entry point, whose address is then a physical one,
    far beyond the file. Without an entry point the dump is the table.
    """
    if not dump.startswith(_ANCHORS) or len(dump) < 32:
        return Table(dump)
    version, address, length, own_length = _claims(dump)
    if own_length <= address < len(dump):
        end = address + length if length else len(dump)
        return Table(dump[address:end], address, version)
    starts = [start for start in (own_length, 31, 32) if 15 <= start < len(dump)]
    if not starts:
        return Table(b"", len(dump), version)
    start = next(
        (at for at in starts if _readable(dump[at:])[1]),
        max(starts, key=lambda at: _readable(dump[at:])[0]),
    )
    return Table(dump[start:], start, version)


def version_of(entry_point: bytes) -> tuple[int, int] | None:
    """The SMBIOS version an entry point claims; None if it is none."""
    if len(entry_point) < 15 or not entry_point.startswith(_ANCHORS):
        return None
    return _claims(entry_point)[0]


def _readable(data: bytes) -> tuple[int, bool]:
    """How many structures can be read from here, and whether the end was reached without fault."""
    notes = Notes("")
    count = sum(1 for _ in structures(Table(data), notes))
    return count, count > 0 and not notes.found


def structures(table: Table, notes: Notes) -> Iterator[Structure]:
    """Every structure up to the end marker or the first one that cannot be read, which is noted."""
    data, at = table.data, 0
    for _ in range(MAX_STRUCTURES):
        if at + 4 > len(data):
            if at < len(data) or not data:
                _broken(notes, table, at, "ends inside a structure's header")
            return
        length = data[at + 1]
        handle = int.from_bytes(data[at + 2 : at + 4], "little")
        if length < 4:
            _broken(notes, table, at, f"has a structure of {length} bytes; the least is 4")
            return
        end = data.find(b"\0\0", at + length)
        if end < 0 or at + length > len(data):
            _broken(notes, table, at, "ends inside a structure")
            return
        yield Structure(
            data[at], handle, table.offset + at, data[at : at + length], data[at + length : end]
        )
        if data[at] == END_OF_TABLE:
            return
        at = end + 2
    notes.add("cut", f"only the first {MAX_STRUCTURES} structures were read")


def _broken(notes: Notes, table: Table, at: int, what: str) -> None:
    where = Where(notes.file, offset=table.offset + at)
    notes.add("damaged", f"the SMBIOS table {what}; nothing after this was read", where)
