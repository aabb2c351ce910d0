"""Lines for a terminal of 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from json import dumps
from typing import Any

WIDTH = 80

ONE_LINE = dict.fromkeys(map(ord, "\n\t"), " ")
"""For cells of a table: a name that a file gives may break a line."""


def heading(text: str) -> Iterator[str]:
    """A title with a blank line above it."""
    yield ""
    yield from textwrap.wrap(text, WIDTH)


def fill(text: str, indent: str = "") -> list[str]:
    """A paragraph."""
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent)


def bullet(text: str, hang: int = 4) -> list[str]:
    """A point of a list; its further lines hang below its words."""
    return textwrap.wrap(text, WIDTH, initial_indent="  - ", subsequent_indent=" " * max(hang, 4))


def bulleted(title: str, texts: Iterable[str], hang: int = 4) -> Iterator[str]:
    """A title with its points; nothing where there are none."""
    texts = [*texts]
    if texts:
        yield from heading(title)
    for text in texts:
        yield from bullet(text, hang)


def columns(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """A table with its last column wrapped to the width of the terminal."""
    widths = [max(len(row[i]) for row in (head, *rows)) for i in range(len(head) - 1)]
    last = max(WIDTH - 2 - sum(widths) - 2 * len(widths), 12)
    for row in (head, *rows):
        cells = (cell.translate(ONE_LINE) for cell in row)
        front = "  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=False))
        wrapped = textwrap.wrap(row[-1], last) or [""]
        yield f"  {front}  {wrapped[0]}"
        for more in wrapped[1:]:
            yield " " * (len(front) + 4) + more


def hung(front: str, text: str) -> list[str]:
    """A paragraph behind `front`; names and paths stay whole, to be copied."""
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=front,
        subsequent_indent=" " * len(front),
        break_on_hyphens=False,
        break_long_words=False,
    )


def as_json(view: object, **beside: object) -> str:
    """
    Keys are the field names of the answer; units are in the names.

    `beside` are further answers, each under a key of its own.
    """
    found = dict(named(view))
    found |= {key: plain(more) for key, more in beside.items()}
    return dumps(found, indent=2, ensure_ascii=False) + "\n"


def plain(value: object) -> object:
    """A value as JSON has it: what has fields becomes an object, any other row a list."""
    if isinstance(value, Mapping):
        return {key: plain(one) for key, one in value.items()}
    if is_dataclass(value) or hasattr(value, "_fields"):
        return dict(named(value))
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    return value


def named(view: Any) -> Iterable[tuple[str, object]]:
    """Each field of a dataclass or a named tuple."""
    names = [one.name for one in fields(view)] if is_dataclass(view) else view._fields
    return ((name, plain(getattr(view, name))) for name in names)
