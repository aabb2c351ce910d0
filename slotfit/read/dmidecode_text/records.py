"""A decoded table's text to a `Reading`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from slotfit.read.dmidecode_text.blocks import Block, blocks_of
from slotfit.read.dmidecode_text.slots import slot
from slotfit.read.pasted import Line, lines_of
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


def _of_one_table(listings: list[list[Block]], notes: Notes) -> list[Block]:
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


def _where(block: Block, file: str) -> Where:
    return Where(file, line=block.line, handle=block.handle)


def _board(block: Block, file: str) -> BoardSeen:
    return BoardSeen(
        _where(block, file),
        "system" if block.kind == 1 else "board",
        block.get("Manufacturer", "Vendor"),
        block.get("Product Name", "Product"),
        block.get("Version"),
    )


def _chassis(block: Block, file: str) -> ChassisSeen:
    """A height of 255 U is the tool's misreading of "see the rack height field"."""
    height = _UNITS.match(block.get("Height") or "")
    units = int(height.group(1)) if height else None
    kind = block.get("Type")
    return ChassisSeen(
        _where(block, file),
        kind.lower() if kind else None,
        block.get("Manufacturer"),
        None if units in (0, 255) else units,
    )


def _processor(block: Block, file: str) -> ProcessorSeen:
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


def _onboard(block: Block, file: str) -> OnboardSeen:
    kind, instance = block.get("Type"), block.get("Type Instance")
    status = block.get("Status")
    return OnboardSeen(
        _where(block, file),
        block.get("Reference Designation", "Description"),
        kind.lower() if kind else None,
        None if status is None else status == "Enabled",
        int(instance) if instance and instance.isdecimal() else None,
        PciAddress.read(block.get("Bus Address") or ""),
    )


def _supply(block: Block, file: str) -> PowerSupplySeen:
    power = _WATTS.match(block.get("Max Power Capacity") or "")
    plugged = block.get("Plugged")
    return PowerSupplySeen(
        _where(block, file),
        block.get("Name"),
        block.get("Model Part Number"),
        int(power.group(1)) if power else None,
        None if plugged is None else plugged == "Yes",
    )
