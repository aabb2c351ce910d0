"""
Type 9, system slots: one structure to one `SlotSeen`.

Source: DSP0134 7.10. The fields added in 3.4 stand at 13h+5n in what firmware and decoders do, and
at 14h+5n in the printed text of DSP0134 3.4; both are met, so both are tried (see `_extension`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from slotfit.read.seen import (
    BoardSeen,
    ChassisSeen,
    Notes,
    OnboardSeen,
    PciAddress,
    PeerSeen,
    PowerSupplySeen,
    ProcessorSeen,
    Reading,
    SlotSeen,
    Where,
)
from slotfit.standards import smbios as codes

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
class SmbiosTable:
    """The table's bytes, where they start in the file, and the version the entry point claims."""

    data: bytes
    offset: int = 0
    version: tuple[int, int] | None = None


_ENTRY_POINTS = {b"_SM3_": (16, 24, 12, 16, 6), b"_SM_": (24, 28, 22, 24, 5)}
"""Anchor -> where the table's address begins and ends, its length, and the entry point's own."""


def _claims(dump: bytes) -> tuple[tuple[int, int] | None, int, int, int]:
    """Version, table address, table length and own length, as the entry point says them."""
    number = int.from_bytes
    for anchor, (address, address_end, length, length_end, own) in _ENTRY_POINTS.items():
        if dump.startswith(anchor):
            return (
                (dump[own + 1], dump[own + 2]),
                number(dump[address:address_end], "little"),
                number(dump[length:length_end], "little"),
                dump[own],
            )
    version = (dump[14] >> 4, dump[14] & 0xF)
    return version, number(dump[8:12], "little"), number(dump[6:8], "little"), 15


def find_table(dump: bytes) -> SmbiosTable:
    """
    The table inside a dump.

    A dump made by the decoding tool holds the table at the address its entry point names; files
    simply put together hold it right after the entry point, whose address is then a physical one,
    far beyond the file. Without an entry point the dump is the table.
    """
    if not dump.startswith(_ANCHORS) or len(dump) < 32:
        return SmbiosTable(dump)
    version, address, length, own_length = _claims(dump)
    if own_length <= address < len(dump):
        end = address + length if length else len(dump)
        return SmbiosTable(dump[address:end], address, version)
    starts = [start for start in (own_length, 31, 32) if 15 <= start < len(dump)]
    if not starts:
        return SmbiosTable(b"", len(dump), version)
    start = next(
        (at for at in starts if _readable(dump[at:])[1]),
        max(starts, key=lambda at: _readable(dump[at:])[0]),
    )
    return SmbiosTable(dump[start:], start, version)


def version_of(entry_point: bytes) -> tuple[int, int] | None:
    """The SMBIOS version an entry point claims; None if it is none."""
    if len(entry_point) < 15 or not entry_point.startswith(_ANCHORS):
        return None
    return _claims(entry_point)[0]


def _readable(data: bytes) -> tuple[int, bool]:
    """How many structures can be read from here, and whether the end was reached without fault."""
    notes = Notes("")
    count = sum(1 for _ in structures(SmbiosTable(data), notes))
    return count, count > 0 and not notes.found


def structures(table: SmbiosTable, notes: Notes) -> Iterator[Structure]:
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


def _broken(notes: Notes, table: SmbiosTable, at: int, what: str) -> None:
    where = Where(notes.file, offset=table.offset + at)
    notes.add("damaged", f"the SMBIOS table {what}; nothing after this was read", where)


SYSTEM_SLOT = 9
PEERS_AT, PEER_SIZE = 0x13, 5
_NOWHERE = (0xFFFF, 0xFF, 0xFF)


@dataclass(frozen=True, slots=True)
class Extension:
    """The fields of 3.4 and 3.5, raw, and where they were found."""

    layout: str
    information: int
    width: int
    pitch: int
    height: int | None


def slot(record: Structure, notes: Notes) -> SlotSeen:
    """What one system slot record says."""
    where = Where(notes.file, offset=record.offset, handle=record.handle)
    type_code, width_code = record.byte(5), record.byte(6)
    kind = codes.SLOT_TYPES.get(type_code) if type_code is not None else None
    if type_code is not None and kind is None:
        notes.add("odd", f"slot type code {type_code:02X}h has no meaning", where)
    peers = _peers(record, notes, where)
    extra = None if peers is None else _extension(record, len(peers), kind)
    slot_id = record.byte(9)
    return SlotSeen(
        where=where,
        handle=record.handle,
        designation=record.string(4),
        type_code=type_code,
        type_name=kind.name if kind else None,
        form=kind.form if kind else None,
        generation=kind.generation if kind else None,
        type_lanes=kind.lanes if kind else None,
        lanes=codes.LANES_OF_WIDTH.get(width_code or 0),
        width_bits=codes.BITS_OF_WIDTH.get(width_code or 0),
        usage=_word(codes.SLOT_USAGES, record.byte(7)),
        length=_word(codes.SLOT_LENGTHS, record.byte(8)),
        slot_id=slot_id if len(record.body) >= 0x0B else None,
        traits=_traits(record.byte(0x0B), record.byte(0x0C)),
        address=_address(record.body[0x0D:0x11]),
        base_width=record.byte(0x11) if len(record.body) >= 0x13 else None,
        peers=peers,
        information=(extra.information or None) if extra else None,
        physical_lanes=codes.LANES_OF_WIDTH.get(extra.width) if extra else None,
        pitch_mm=extra.pitch / 100 if extra and extra.pitch else None,
        height=_word(codes.SLOT_HEIGHTS, extra.height) if extra else None,
        layout=extra.layout if extra else None,
    )


def _word(table: dict[int, str], code: int | None) -> str | None:
    return None if code is None else table.get(code, f"code {code:02X}h")


def _traits(first: int | None, second: int | None) -> tuple[str, ...] | None:
    """The characteristics; None if the record is too short or says that they are not known."""
    if first is None or first & 1:
        return None
    found = [words for bit, words in codes.SLOT_TRAITS_1.items() if first >> bit & 1]
    found += [words for bit, words in codes.SLOT_TRAITS_2.items() if (second or 0) >> bit & 1]
    return tuple(found)


def _address(four: bytes) -> PciAddress | None:
    """Segment, bus, device and function; None if cut short or all ones (7.10.8: no address)."""
    if len(four) < 4:
        return None
    segment = int.from_bytes(four[:2], "little")
    if (segment, four[2], four[3]) == _NOWHERE:
        return None
    return PciAddress(segment, four[2], four[3] >> 3, four[3] & 7)


def _peers(record: Structure, notes: Notes, where: Where) -> tuple[PeerSeen, ...] | None:
    """The peer groups; None if the record has none to give or its count cannot be true."""
    count = record.byte(0x12)
    if count is None:
        return None
    if PEERS_AT + PEER_SIZE * count > len(record.body):
        notes.add("odd", f"{count} peers are claimed; the record has no room for them", where)
        return None
    found = []
    for number in range(count):
        at = PEERS_AT + PEER_SIZE * number
        segment = int.from_bytes(record.body[at : at + 2], "little")
        bus, device_function, width = record.body[at + 2 : at + 5]
        address = PciAddress(segment, bus, device_function >> 3, device_function & 7)
        found.append(PeerSeen(address, width))
    return tuple(found)


def _extension(record: Structure, peers: int, kind: codes.SlotType | None) -> Extension | None:
    """
    The fields of 3.4, from whichever of the two places makes sense; None if neither does.

    The record's length does not tell: open reference firmware writes five slack bytes.
    """
    after = PEERS_AT + PEER_SIZE * peers
    near, far = (_fields(record.body, after + skip, f"{0x13 + skip:x}h") for skip in (0, 1))
    serial = kind is None or kind.form not in ("pci", "pci-x", "agp", "isa", "eisa", "mca")
    if near and _sensible(near, serial):
        return near
    if far and _sensible(far, serial):
        return far
    # No width is given, yet the rest may be.
    if near and near.width in (0, 1, 2) and (near.information or near.pitch) and _rest_fits(near):
        return near
    return None


def _fields(body: bytes, at: int, layout: str) -> Extension | None:
    if at + 4 > len(body):
        return None
    pitch = int.from_bytes(body[at + 2 : at + 4], "little")
    height = body[at + 4] if at + 4 < len(body) else None
    return Extension(layout, body[at], body[at + 1], pitch, height)


def _sensible(extra: Extension, serial: bool) -> bool:
    lowest = 0x08 if serial else codes.WIDTH_OTHER
    return lowest <= extra.width <= 0x0E and _rest_fits(extra)


def _rest_fits(extra: Extension) -> bool:
    """Pitch (in 1/100 mm) none or 5..100 mm, height and generation of the tables."""
    pitch_fits = extra.pitch == 0 or 500 <= extra.pitch <= 10_000
    return pitch_fits and (extra.height or 0) <= 4 and extra.information <= 7


SYSTEM, BASE_BOARD, CHASSIS, PROCESSOR = 1, 2, 3, 4
ONBOARD_OLD, POWER_SUPPLY, ONBOARD = 10, 39, 41
_UNKNOWN_POWER = 0x8000
_RACK_HEIGHT_ELSEWHERE = 0xFF


def parse(dump: bytes, file: str) -> Reading:
    """
    What a dump says: an entry point with its table, or a table alone.

    Never raises; a table that breaks off gives what stood before, and a note.
    """
    return _read(find_table(dump), file)


def parse_table(table: bytes, entry_point: bytes | None, file: str) -> Reading:
    """What sysfs' file `DMI` says; `smbios_entry_point` gives only the version."""
    return _read(SmbiosTable(table, 0, version_of(entry_point or b"")), file)


def _read(table: SmbiosTable, file: str) -> Reading:
    notes = Notes(file)
    by_kind: dict[int, list[Structure]] = defaultdict(list)
    for record in structures(table, notes):
        by_kind[record.kind].append(record)
    return Reading(
        kind="smbios table",
        file=file,
        boards=tuple(
            [_board(record, file, "system") for record in by_kind[SYSTEM]]
            + [_board(record, file, "board") for record in by_kind[BASE_BOARD]]
        ),
        chassis=tuple(_chassis(record, file) for record in by_kind[CHASSIS]),
        processors=tuple(_processor(record, file) for record in by_kind[PROCESSOR]),
        slots=tuple(slot(record, notes) for record in by_kind[SYSTEM_SLOT]),
        onboard=_onboard(by_kind, file),
        power_supplies=tuple(_supply(record, file) for record in by_kind[POWER_SUPPLY]),
        notes=notes.done(),
        slots_read=bool(by_kind),
    )


def _where(record: Structure, file: str) -> Where:
    return Where(file, offset=record.offset, handle=record.handle)


def _board(record: Structure, file: str, role: str) -> BoardSeen:
    """Types 1 and 2 begin alike: manufacturer, product, version at 04h, 05h, 06h (7.2, 7.3)."""
    return BoardSeen(
        _where(record, file), role, record.string(4), record.string(5), record.string(6)
    )


def _chassis(record: Structure, file: str) -> ChassisSeen:
    """7.4. A height of 0 is unspecified; FFh points to the rack height of 3.9."""
    kind, height = record.byte(5), record.byte(0x11)
    if height == _RACK_HEIGHT_ELSEWHERE:
        height = record.byte(0x17 + (record.byte(0x13) or 0) * (record.byte(0x14) or 0))
    return ChassisSeen(
        _where(record, file),
        None if kind is None else codes.CHASSIS_TYPES.get(kind & 0x7F),
        record.string(4),
        height or None,
    )


def _processor(record: Structure, file: str) -> ProcessorSeen:
    """7.5. Status 18h: bit 6 says whether the socket is filled."""
    status = record.byte(0x18)
    populated = None if status is None else bool(status & 0x40)
    return ProcessorSeen(
        _where(record, file),
        record.handle,
        record.string(4),
        populated,
        codes.PROCESSOR_STATUSES.get((status or 0) & 7) if populated else None,
        record.string(0x10),
    )


def _onboard(by_kind: dict[int, list[Structure]], file: str) -> tuple[OnboardSeen, ...]:
    """Type 41 (7.42), then type 10 (7.11), which has no addresses."""
    found = [_onboard_device(record, file) for record in by_kind[ONBOARD]]
    for record in by_kind[ONBOARD_OLD]:
        for at in range(4, len(record.body) - 1, 2):
            kind = record.body[at]
            found.append(
                OnboardSeen(
                    _where(record, file),
                    record.string(at + 1),
                    codes.ONBOARD_TYPES.get(kind & 0x7F),
                    bool(kind & 0x80),
                )
            )
    return tuple(found)


def _onboard_device(record: Structure, file: str) -> OnboardSeen:
    kind = record.byte(5)
    return OnboardSeen(
        _where(record, file),
        record.string(4),
        None if kind is None else codes.ONBOARD_TYPES.get(kind & 0x7F),
        None if kind is None else bool(kind & 0x80),
        record.byte(6),
        _address(record.body[7:0x0B]),
    )


def _supply(record: Structure, file: str) -> PowerSupplySeen:
    """7.40. Capacity at 0Ch in watts, 8000h unknown; characteristics at 0Eh, bit 2 unplugged."""
    power, traits = record.word(0x0C), record.word(0x0E)
    return PowerSupplySeen(
        _where(record, file),
        record.string(6),
        record.string(0x0A),
        None if power in (None, 0, _UNKNOWN_POWER) else power,
        None if traits is None else not traits & 0x04,
    )
