"""
One system slot record of the text to a `SlotSeen`.

Up to 3.5 the tool prints `Type: x8 PCI Express 3 x16` (wired width, then type) and `Data Bus
Width: 8` is the base byte; from 3.6 the type stands alone and `Data Bus Width: 8x or x8` is the
wired width. The value's spelling tells which.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from slotfit.read.pasted import Line, lines_of
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
    whole_number,
)
from slotfit.standards import smbios as codes

OTHER = -1
_HANDLE = re.compile(
    r"Handle 0x([0-9A-Fa-f]{1,8})(?:[,.]?\s*DMI type (\d+), (-?\d+) bytes\.?\s*(.*))?"
)
_HANDLE_TYPE = re.compile(r"DMI type (\d+), (\d+) bytes\.?")
_OLD_ONBOARD = re.compile(r"On Board Device(?: \d+)? Information")
_TITLES = {
    "System Information": 1,
    "Base Board Information": 2,
    "Chassis Information": 3,
    "Chassis Handle": OTHER,
    "Processor Information": 4,
    "Processor": 4,
    "System Slot Information": 9,
    "System Slot": 9,
    "Card Slot": 9,
    "On Board Devices Information": 10,
    "System Power Supply": 39,
    "Onboard Device": 41,
}
_WANTED = frozenset((1, 2, 3, 4, 9, 10, 39, 41))
_BROKEN = re.compile(r"DMI table is broken|Wrong DMI structures|<TRUNCATED>")


@dataclass(slots=True)
class Record:
    """One record: its structure type, handle, first line, fields as written, bare lines."""

    kind: int
    handle: int | None
    line: int
    fields: dict[str, str] = field(default_factory=dict)
    items: list[str] = field(default_factory=list)
    titled: bool = False

    def get(self, *keys: str) -> str | None:
        """The value of the first key that is there and says something."""
        for key in keys:
            value = self.fields.get(key)
            if value and value not in ("Not Specified", "<BAD INDEX>"):
                return value
        return None


def blocks_of(lines: Sequence[Line], notes: Notes) -> list[Record]:
    """Every record that is of use, in order; broken tables are noted."""
    blocks: list[Record] = []
    current: Record | None = None
    after_blank = True
    for number, raw in lines:
        text = raw.strip()
        if not text:
            after_blank = True
            continue
        opened = _opened(text, number, current, after_blank)
        if opened is not None:
            current = opened
            blocks.append(opened)
        elif current is not None and current.kind in _WANTED:
            _take(current, text)
        after_blank = False
        if _BROKEN.search(text):
            said = f"the decoding tool says: {text[:120]}"
            notes.add("damaged", said, Where(notes.file, line=number))
    return [block for block in blocks if block.kind in _WANTED]


def _opened(text: str, number: int, current: Record | None, after_blank: bool) -> Record | None:
    """The record that this line starts, if it does."""
    if text.startswith("Handle 0x"):
        return _from_handle(text, number)
    if text.startswith("DMI type") and current and not current.fields:
        found = _HANDLE_TYPE.match(text)
        if found:
            current.kind = kind_of(found.group(1))
        return None
    if ":" in text:
        return _filtered(text, number, current)
    kind = 10 if _OLD_ONBOARD.fullmatch(text) else _TITLES.get(text)
    if kind is None:
        # Quiet output: another structure's title, after a blank line.
        foreign = after_blank and current is not None and _is_title(text, current)
        return Record(OTHER, None, number, titled=True) if foreign else None
    if current and not current.titled and not current.fields:
        current.titled = True
        if current.kind == OTHER:
            current.kind = kind
        return None
    handle = current.handle if current and current.kind == kind == 10 else None
    return Record(kind, handle, number, titled=True)


def _filtered(text: str, number: int, current: Record | None) -> Record | None:
    """A slot whose title and handle were filtered out: only slots have a bare `Designation`."""
    key, _, value = text.partition(": ")
    bare = current is None or (
        current.kind == 9 and current.handle is None and "Designation" in current.fields
    )
    if key != "Designation" or not bare:
        return None
    return Record(9, None, number, {"Designation": value}, titled=True)


def kind_of(digits: str | None) -> int:
    """A structure's type; what is no number that a type has is another type's."""
    number = whole_number(digits)
    return OTHER if number is None else number


def _from_handle(text: str, number: int) -> Record | None:
    found = _HANDLE.match(text)
    if not found:
        return None
    handle, kind, _, title = found.groups()
    return Record(kind_of(kind), int(handle, 16), number, titled=bool(title and title.strip()))


_TITLE_ENDS = tuple(
    "Information Device Array Table Strings Options Log Probe Address".split()  # noqa: SIM905
)


def _is_title(text: str, current: Record) -> bool:
    """A capitalised line with no handle above it; inside a handled record lists look the same."""
    return current.handle is None and text[0].isupper() and text.endswith(_TITLE_ENDS)


def _take(block: Record, text: str) -> None:
    key, colon, value = text.partition(":")
    if colon:
        block.fields.setdefault(key.strip(), value.strip())
    else:
        block.items.append(text)


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


def slot(block: Record, notes: Notes) -> SlotSeen:
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
        slot_id=whole_number(block.get("ID")),
        traits=_traits(block),
        address=PciAddress.read(block.get("Bus Address") or ""),
        base_width=base,
        peers=_peers(block, notes, where),
        information=whole_number(block.get("PCI Express Generation")),
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
        whole_number(lanes),
        whole_number(bits),
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


def _width(block: Record, kind: TypeSeen) -> tuple[int | None, int | None, int | None]:
    """Lanes and bits of the wired width, and the base byte."""
    lanes, bits, base = kind.lanes, kind.bits, whole_number(block.get("Data Bus Width (Base)"))
    written = block.get("Data Bus Width") or ""
    if written.isdecimal():
        return lanes, bits, whole_number(written)
    lane_match, bit_match = _LANES.fullmatch(written), _BITS.fullmatch(written)
    if lane_match:
        lanes = whole_number(lane_match.group(1))
    if bit_match:
        bits = whole_number(bit_match.group(1))
    return lanes, bits, base


def _designation(block: Record, notes: Notes, where: Where) -> str | None:
    written = block.fields.get("Designation", block.fields.get("Slot", ""))
    if written == "<BAD INDEX>":
        notes.add("damaged", "the slot's designation points to no string", where)
    return block.get("Designation", "Slot")


def _word(text: str | None) -> str | None:
    return None if text is None else "code ?" if text == _OUT_OF_SPEC else text.rstrip(".").lower()


def _traits(block: Record) -> tuple[str, ...] | None:
    """None: absent or unknown. Empty: the text says that there are none."""
    written = block.fields.get("Characteristics", block.fields.get("Slot Features"))
    if written is None or written.startswith("Unknown"):
        return None
    known = tuple(item for item in block.items if item in codes.SLOT_TRAITS)
    return (*known, written) if written in codes.SLOT_TRAITS else known


MOST_PEERS = 255
"""DSP0134 7.10.9: the count is a byte."""


def _peers(block: Record, notes: Notes, where: Where) -> tuple[PeerSeen, ...] | None:
    count = whole_number(block.get("Peer Devices"))
    if count is None or count > MOST_PEERS:
        return None
    found = []
    for number in range(1, count + 1):
        match = _PEER.fullmatch(block.fields.get(f"Peer Device {number}", ""))
        address = PciAddress.read(match.group(1)) if match else None
        width = whole_number(match.group(2)) if match else None
        if address and width is not None:
            found.append(PeerSeen(address, width))
    if len(found) != count:
        notes.add("odd", f"{count} peers are claimed and {len(found)} listed", where)
        return tuple(found) or None
    return tuple(found)


def _with_extension(seen: SlotSeen, block: Record, notes: Notes) -> SlotSeen:
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
        physical_lanes=whole_number(lanes.group(1)) if lanes else None,
        pitch_mm=pitch_mm,
        height=_word(block.get("Height")),
    )


_REFUSED = re.compile(
    r"Permission denied|Can't read memory|Scanning /dev/mem|No SMBIOS nor DMI entry point"
    r"|Operation not permitted"
)
_WATTS = re.compile(r"(\d+) W\b")
_UNITS = re.compile(r"(\d+) U\b")
_FULL = "End Of Table"
_BANNER = re.compile(r"# dmidecode \d")
# System, board, slots: of one machine they are the same whenever one looks.
_SAYS_WHICH = (1, 2, 9)


def parse(text: str, file: str) -> Reading:
    """
    What the text says. Never raises; `slots_read` is False where nothing could be read.

    Source of the wordings: the decoding tool's own source and change notes, 2.0 to 3.6.
    """
    notes = Notes(file)
    lines = lines_of(text)
    blocks = _of_one_table([blocks_of(listing, notes) for listing in _listings(lines)], notes)
    slots = tuple(slot(block, notes) for block in blocks if block.kind == 9)
    slots_read = _slots_read(bool(slots), bool(blocks), lines, notes)
    return Reading(
        kind="dmidecode text",
        file=file,
        boards=tuple(_board(block, file) for block in blocks if block.kind in (1, 2)),
        chassis=tuple(_chassis(block, file) for block in blocks if block.kind == 3),
        processors=tuple(_processor(block, file) for block in blocks if block.kind == 4),
        slots=slots,
        onboard=tuple(_onboard(block, file) for block in blocks if block.kind in (10, 41)),
        power_supplies=tuple(_supply(block, file) for block in blocks if block.kind == 39),
        notes=notes.done(),
        slots_read=slots_read,
    )


def _listings(lines: Sequence[Line]) -> list[Sequence[Line]]:
    """The text cut at the tool's first lines: it may have been run several times."""
    starts = [at for at, (_, line) in enumerate(lines) if _BANNER.match(line.strip())]
    cuts = [0, *starts[1:], len(lines)]
    return [lines[start:end] for start, end in pairwise(cuts)]


def _of_one_table(listings: list[list[Record]], notes: Notes) -> list[Record]:
    """
    Records of each kind from the first listing that has any.

    One tool run twice, with other options, says the same twice; another machine says something
    else.
    """
    kept = listings[0]
    for listing in listings[1:]:
        kinds = {block.kind for block in kept}
        again = [block for block in listing if block.kind in kinds]
        before = [block.fields for block in kept]
        if any(block.fields not in before for block in again if block.kind in _SAYS_WHICH):
            text = "from here on it is another machine's table, or a later one; not used"
            notes.add("odd", f"{text}: give each its own file", Where(notes.file, again[0].line))
            continue
        kept = kept + [block for block in listing if block.kind not in kinds]
    return kept


def _slots_read(slots: bool, blocks: bool, lines: Sequence[Line], notes: Notes) -> bool | None:
    """True: the whole table or slots were read. False: nothing was. None: parts were."""
    if slots:
        return True
    if blocks:
        return True if any(_FULL in line for _, line in lines) else None
    for number, line in lines:
        if _REFUSED.search(line):
            text = "the table was not read; run the tool as root"
            notes.add("not-read", text, Where(notes.file, line=number))
            break
    return False


def _where(block: Record, file: str) -> Where:
    return Where(file, line=block.line, handle=block.handle)


def _board(block: Record, file: str) -> BoardSeen:
    return BoardSeen(
        _where(block, file),
        "system" if block.kind == 1 else "board",
        block.get("Manufacturer", "Vendor"),
        block.get("Product Name", "Product"),
        block.get("Version"),
    )


def _chassis(block: Record, file: str) -> ChassisSeen:
    """A height of 255 U is the tool's misreading of "see the rack height field"."""
    height = _UNITS.match(block.get("Height") or "")
    units = whole_number(height.group(1)) if height else None
    kind = block.get("Type")
    return ChassisSeen(
        _where(block, file),
        kind.lower() if kind else None,
        block.get("Manufacturer"),
        None if units in (0, 255) else units,
    )


def _processor(block: Record, file: str) -> ProcessorSeen:
    status = (block.get("Status") or "").lower()
    populated = None if "populated" not in status else not status.startswith("unpopulated")
    state = status.partition(", ")[2] if populated else ""
    return ProcessorSeen(
        _where(block, file),
        block.handle,
        block.get("Socket Designation"),
        populated,
        state or None,
        block.get("Version"),
    )


def _onboard(block: Record, file: str) -> OnboardSeen:
    kind, status = block.get("Type"), block.get("Status")
    return OnboardSeen(
        _where(block, file),
        block.get("Reference Designation", "Description"),
        kind.lower() if kind else None,
        None if status is None else status == "Enabled",
        whole_number(block.get("Type Instance")),
        PciAddress.read(block.get("Bus Address") or ""),
    )


def _supply(block: Record, file: str) -> PowerSupplySeen:
    power = _WATTS.match(block.get("Max Power Capacity") or "")
    plugged = block.get("Plugged")
    return PowerSupplySeen(
        _where(block, file),
        block.get("Name"),
        block.get("Model Part Number"),
        whole_number(power.group(1)) if power else None,
        None if plugged is None else plugged == "Yes",
    )
