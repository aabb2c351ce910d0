"""
YAML with comments, block by block.

Every text is quoted unless it is plainly a word, and everything is cleaned before it is written, so
that no name from a dump can be taken for anything but a text or a comment.
"""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from slotfit.describe.words import clean

WIDTH = 100
Scalar = str | int | float | bool | None
Flow = Scalar | Sequence["Flow"] | Mapping[str, "Flow"]

_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9_+]*(?:[ ./+-][A-Za-z0-9_+]+)*")
# What some reader of YAML takes for something else than a text (1.1 types and 1.2.2 10.3.2).
_NOT_TEXT = frozenset(("true", "false", "null", "yes", "no", "on", "off", "y", "n"))


@dataclass(frozen=True, slots=True)
class Remark:
    """A comment of one paragraph; empty for a blank line."""

    text: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """One key with its value, and where the value comes from."""

    key: str
    value: Flow | Blocks | Block
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Block:
    """A mapping, key by key."""

    entries: tuple[Field | Remark, ...]
    aside: bool = False
    """Written as a comment, ready to be taken in."""


@dataclass(frozen=True, slots=True)
class Blocks:
    """A list of mappings, with remarks between them."""

    items: tuple[Block | Remark, ...]


def yaml_text(block: Block) -> str:
    """The file."""
    return "\n".join(line.rstrip() for line in _block(block, "")) + "\n"


def _block(block: Block, indent: str) -> Iterator[str]:
    for entry in block.entries:
        yield from (
            _remark(entry.text, indent) if isinstance(entry, Remark) else _field(entry, indent)
        )


def _field(field: Field, indent: str) -> Iterator[str]:
    head = f"{indent}{scalar(field.key)}:"
    match field.value:
        case Block():
            yield from _said_above(field.remark, indent)
            yield head
            yield from _block(field.value, indent + "  ")
        case Blocks(items=items):
            yield from _said_above(field.remark, indent)
            empty = not any(isinstance(item, Block) and not item.aside for item in items)
            yield f"{head} []" if empty else head
            for item in items:
                yield from _item(item, indent + "  ")
        case value:
            yield from _beside(f"{head} {flow(value)}", field.remark, indent)


def _item(item: Block | Remark, indent: str) -> Iterator[str]:
    """One mapping of a list: its first line starts with a dash."""
    if isinstance(item, Remark):
        yield from _remark(item.text, indent)
        return
    lines = list(_block(item, ""))
    first = next(number for number, line in enumerate(lines) if not line.startswith("#"))
    for number, line in enumerate(lines):
        dash = "  " if number > first else "- " if number == first else ""
        yield f"{indent}{'# ' if item.aside else ''}{dash}{line}"


def _beside(line: str, remark: str, indent: str) -> Iterator[str]:
    """The comment at the end of the line if it fits, else above it."""
    text = clean(remark, longest=2000)
    if not text:
        yield line
    elif len(line) + len(text) + 4 <= WIDTH - 4:
        yield f"{line}  # {text}"
    else:
        yield from _remark(text, indent)
        yield line


def _said_above(remark: str, indent: str) -> Iterator[str]:
    if remark:
        yield from _remark(remark, indent)


def _remark(text: str, indent: str) -> Iterator[str]:
    """A comment, wrapped."""
    shown = clean(text, longest=4000)
    if not shown:
        yield ""
        return
    mark = f"{indent}# "
    yield from textwrap.wrap(
        shown, WIDTH - 4, initial_indent=mark, subsequent_indent=mark, break_on_hyphens=False
    )


def flow(value: Flow) -> str:
    """
    A value on one line.

    >>> flow({"id": "cpu0", "lanes": [4, 4], "label": "a: b"})
    '{id: cpu0, lanes: [4, 4], label: "a: b"}'
    """
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{scalar(k)}: {flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "[" + ", ".join(map(flow, value)) + "]"
    return scalar(value)


def scalar(value: Scalar) -> str:
    """
    One plain value.

    >>> scalar("PCIe slot 1"), scalar("no"), scalar("1:30"), scalar(8.25), scalar(None)
    ('PCIe slot 1', '"no"', '"1:30"', '8.25', 'null')
    """
    if isinstance(value, bool) or value is None:
        return json.dumps(value)
    if isinstance(value, int | float):
        return f"{value:g}" if isinstance(value, float) else str(value)
    shown = clean(value, longest=2000)
    if _PLAIN.fullmatch(shown) and shown.lower() not in _NOT_TEXT:
        return shown
    return json.dumps(shown, ensure_ascii=False)
