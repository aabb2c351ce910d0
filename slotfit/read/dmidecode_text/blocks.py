"""
Cuts the text into records: one per structure, with its fields and list items.

Indentation is not used, since pasting loses it. A record starts at a `Handle` line or, in quiet
output, at its title; a blank line ends nothing, since some texts have them inside records.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from slotfit.read.pasted import Line
from slotfit.read.seen import Notes, Where

OTHER = -1
_HANDLE = re.compile(
    r"Handle 0x([0-9A-Fa-f]{1,8})(?:[,.]?\s*DMI type (\d+), (-?\d+) bytes\.?\s*(.*))?"
)
_TYPE = re.compile(r"DMI type (\d+), (\d+) bytes\.?")
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
class Block:
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


def title_kind(text: str) -> int | None:
    """The structure type whose title this is; None if it is no title that matters here."""
    if _OLD_ONBOARD.fullmatch(text):
        return 10
    return _TITLES.get(text)


def blocks_of(lines: Sequence[Line], notes: Notes) -> list[Block]:
    """Every record that is of use, in order; broken tables are noted."""
    blocks: list[Block] = []
    current: Block | None = None
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
        if "nvalid" in text or "roken" in text or "Wrong" in text or "TRUNC" in text:
            _note_breakage(text, number, notes)
    return [block for block in blocks if block.kind in _WANTED]


def _opened(text: str, number: int, current: Block | None, after_blank: bool) -> Block | None:
    """The record that this line starts, if it does."""
    if text.startswith("Handle 0x"):
        return _from_handle(text, number)
    if text.startswith("DMI type") and current and not current.fields:
        found = _TYPE.match(text)
        if found:
            current.kind = int(found.group(1))
        return None
    if ":" in text:
        return _filtered(text, number, current)
    kind = title_kind(text)
    if kind is None:
        # Quiet output: another structure's title, after a blank line.
        foreign = after_blank and current is not None and _is_title(text, current)
        return Block(OTHER, None, number, titled=True) if foreign else None
    if current and not current.titled and not current.fields:
        current.titled = True
        if current.kind == OTHER:
            current.kind = kind
        return None
    handle = current.handle if current and current.kind == kind == 10 else None
    return Block(kind, handle, number, titled=True)


def _filtered(text: str, number: int, current: Block | None) -> Block | None:
    """A slot whose title and handle were filtered out: only slots have a bare `Designation`."""
    key, _, value = text.partition(": ")
    bare = current is None or (
        current.kind == 9 and current.handle is None and "Designation" in current.fields
    )
    if key != "Designation" or not bare:
        return None
    return Block(9, None, number, {"Designation": value}, titled=True)


def _from_handle(text: str, number: int) -> Block | None:
    found = _HANDLE.match(text)
    if not found:
        return None
    handle, kind, _, title = found.groups()
    return Block(
        int(kind) if kind else OTHER, int(handle, 16), number, titled=bool(title and title.strip())
    )


def _is_title(text: str, current: Block) -> bool:
    """A capitalised line with no handle above it; inside a handled record lists look the same."""
    return (
        current.handle is None
        and text[0].isupper()
        and text.endswith(
            (
                "Information",
                "Device",
                "Array",
                "Table",
                "Strings",
                "Options",
                "Log",
                "Probe",
                "Address",
            )
        )
    )


def _take(block: Block, text: str) -> None:
    key, colon, value = text.partition(":")
    if colon:
        block.fields.setdefault(key.strip(), value.strip())
    else:
        block.items.append(text)


def _note_breakage(text: str, number: int, notes: Notes) -> None:
    if _BROKEN.search(text):
        notes.add(
            "damaged", f"the decoding tool says: {text[:120]}", Where(notes.file, line=number)
        )
