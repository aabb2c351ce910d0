"""
Type 9, system slots: one structure to one `SlotSeen`.

Source: DSP0134 7.10. The fields added in 3.4 stand at 13h+5n in what firmware and decoders do, and
at 14h+5n in the printed text of DSP0134 3.4; both are met, so both are tried (see `_extension`).
"""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.read.seen import Notes, PciAddress, PeerSeen, SlotSeen, Where
from slotfit.read.smbios.table import Structure
from slotfit.standards import smbios as codes

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
