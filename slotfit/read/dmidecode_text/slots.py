"""
One system slot record of the text to a `SlotSeen`.

Up to 3.5 the tool prints `Type: x8 PCI Express 3 x16` (wired width, then type) and `Data Bus
Width: 8` is the base byte; from 3.6 the type stands alone and `Data Bus Width: 8x or x8` is the
wired width. The value's spelling tells which.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from slotfit.read.dmidecode_text.blocks import Block
from slotfit.read.seen import Notes, PciAddress, PeerSeen, SlotSeen, Where
from slotfit.standards import smbios as codes

_TYPE = re.compile(r"(?:x(\d+) |(\d+)[- ]bit |<OUT OF SPEC> )?(.*)")
_NAME = re.compile(r"PCI Express(?: Gen)?(?: ?(\d))?(\+)?(?: x(\d+))?( SFF-8639.*)?")
_LANES = re.compile(r"(?:\d+x or )?x(\d+)")
_BITS = re.compile(r"(\d+)[- ]bit")
_PEER = re.compile(r"(\S+) \(Width (\d+)\)")
_OUT_OF_SPEC = "<OUT OF SPEC>"


@dataclass(frozen=True, slots=True)
class TypeSeen:
    """What the `Type` line says: the code's row where it has one, and the width before it."""

    row: codes.SlotType | None
    name: str | None
    lanes: int | None
    bits: int | None


def slot(block: Block, notes: Notes) -> SlotSeen:
    """What one record says."""
    where = Where(notes.file, line=block.line, handle=block.handle)
    kind = _type(block.get("Type") or "", notes, where)
    lanes, bits, base = _width(block, kind)
    row = kind.row
    seen = SlotSeen(
        where=where,
        handle=block.handle,
        designation=_designation(block, notes, where),
        type_code=row.code if row else None,
        type_name=kind.name,
        form=row.form if row else None,
        generation=row.generation if row else None,
        type_lanes=row.lanes if row else None,
        lanes=lanes,
        width_bits=bits,
        usage=_word(block.get("Current Usage", "Status")),
        length=_word(block.get("Length")),
        slot_id=_number(block.get("ID")),
        traits=_traits(block),
        address=PciAddress.read(block.get("Bus Address") or ""),
        base_width=base,
        peers=_peers(block, notes, where),
        information=_number(block.get("PCI Express Generation")),
    )
    return _with_extension(seen, block, notes)


def _type(text: str, notes: Notes, where: Where) -> TypeSeen:
    found = _TYPE.fullmatch(text)
    lanes, bits, name = found.groups() if found else (None, None, text)
    row = codes.SLOT_TYPES_BY_NAME.get(name.lower()) or _type_by_pattern(name)
    if name == _OUT_OF_SPEC:
        notes.add("odd", "the slot type is newer than the tool that decoded it", where)
    elif name and row is None:
        notes.add("odd", f'slot type "{name[:60]}" is in no table', where)
    return TypeSeen(
        row,
        None if name in ("", _OUT_OF_SPEC) else name,
        int(lanes) if lanes else None,
        int(bits) if bits else None,
    )


def _type_by_pattern(name: str) -> codes.SlotType | None:
    """A PCI Express type in a wording of its own (`PCI Express Gen 4 x16`)."""
    found = _NAME.fullmatch(name)
    if not found:
        return None
    generation, _, lanes, drive = found.groups()
    stem = "PCI Express" + (f" {generation}" if generation and generation != "1" else "")
    tail = " SFF-8639 (U.2)" if drive else f" x{lanes}" if lanes else ""
    return codes.SLOT_TYPES_BY_NAME.get((stem + tail).lower())


def _width(block: Block, kind: TypeSeen) -> tuple[int | None, int | None, int | None]:
    """Lanes and bits of the wired width, and the base byte."""
    lanes, bits, base = kind.lanes, kind.bits, _number(block.get("Data Bus Width (Base)"))
    written = block.get("Data Bus Width") or ""
    if written.isdigit():
        return lanes, bits, int(written)
    lane_match, bit_match = _LANES.fullmatch(written), _BITS.fullmatch(written)
    if lane_match:
        lanes = int(lane_match.group(1))
    if bit_match:
        bits = int(bit_match.group(1))
    return lanes, bits, base


def _designation(block: Block, notes: Notes, where: Where) -> str | None:
    written = block.fields.get("Designation", block.fields.get("Slot", ""))
    if written == "<BAD INDEX>":
        notes.add("damaged", "the slot's designation points to no string", where)
    return block.get("Designation", "Slot")


def _word(text: str | None) -> str | None:
    return None if text is None else "code ?" if text == _OUT_OF_SPEC else text.rstrip(".").lower()


def _number(text: str | None) -> int | None:
    return int(text) if text and text.isdecimal() and len(text) < 10 else None


def _traits(block: Block) -> tuple[str, ...] | None:
    """None: absent or unknown. Empty: the text says that there are none."""
    written = block.fields.get("Characteristics", block.fields.get("Slot Features"))
    if written is None or written.startswith("Unknown"):
        return None
    known = tuple(item for item in block.items if item in codes.SLOT_TRAITS)
    return (*known, written) if written in codes.SLOT_TRAITS else known


def _peers(block: Block, notes: Notes, where: Where) -> tuple[PeerSeen, ...] | None:
    count = _number(block.get("Peer Devices"))
    if count is None:
        return None
    found = []
    for number in range(1, count + 1):
        match = _PEER.fullmatch(block.fields.get(f"Peer Device {number}", ""))
        address = PciAddress.read(match.group(1)) if match else None
        if match and address:
            found.append(PeerSeen(address, int(match.group(2))))
    if len(found) != count:
        notes.add("odd", f"{count} peers are claimed and {len(found)} listed", where)
        return tuple(found) or None
    return tuple(found)


def _with_extension(seen: SlotSeen, block: Block, notes: Notes) -> SlotSeen:
    """
    Adds physical width, pitch and height, unless they show that the tool read the wrong bytes.

    A table that has these fields one byte later (see `smbios.slots`) comes out of the tool as a
    physical width in bits or a pitch of some 600 mm: then none of them means anything.
    """
    width, pitch = block.get("Slot Physical Width") or "", block.get("Pitch") or ""
    lanes, bits = _LANES.fullmatch(width), _BITS.fullmatch(width)
    pitch_mm = float(pitch[:-3]) if re.fullmatch(r"\d+\.\d\d mm", pitch) else None
    serial = seen.form not in ("pci", "pci-x", "agp", "isa", "eisa", "mca")
    if (bits and serial) or (pitch_mm is not None and not 5 <= pitch_mm <= 100):
        notes.add("odd", f"physical width {width}, pitch {pitch}: misread, not used", seen.where)
        return seen
    return replace(
        seen,
        physical_lanes=int(lanes.group(1)) if lanes else None,
        pitch_mm=pitch_mm,
        height=_word(block.get("Height")),
    )
