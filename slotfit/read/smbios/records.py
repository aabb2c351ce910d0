"""A whole table to a `Reading`: slots, processors, boards, chassis, on-board devices, supplies."""

from __future__ import annotations

from collections import defaultdict

from slotfit.read.seen import (
    BoardSeen,
    ChassisSeen,
    Notes,
    OnboardSeen,
    PciAddress,
    PowerSupplySeen,
    ProcessorSeen,
    Reading,
    Where,
)
from slotfit.read.smbios.slots import SYSTEM_SLOT, slot
from slotfit.read.smbios.table import Structure, Table, find_table, structures, version_of
from slotfit.standards import smbios as codes

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
    return _read(Table(table, 0, version_of(entry_point or b"")), file)


def _read(table: Table, file: str) -> Reading:
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
    kind, segment = record.byte(5), record.word(7)
    bus, device_function = record.byte(9), record.byte(0x0A)
    address = None
    if segment is not None and bus is not None and device_function is not None:
        address = PciAddress(segment, bus, device_function >> 3, device_function & 7)
    if address and (segment, bus, device_function) == (0xFFFF, 0xFF, 0xFF):
        address = None
    return OnboardSeen(
        _where(record, file),
        record.string(4),
        None if kind is None else codes.ONBOARD_TYPES.get(kind & 0x7F),
        None if kind is None else bool(kind & 0x80),
        record.byte(6),
        address,
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
