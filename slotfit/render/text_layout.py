"""Lines for a terminal of 80 columns."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

WIDTH = 80


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


def columns(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """A table with its last column wrapped to the width of the terminal."""
    widths = [max(len(row[i]) for row in (head, *rows)) for i in range(len(head) - 1)]
    last = max(WIDTH - 2 - sum(widths) - 2 * len(widths), 12)
    for row in (head, *rows):
        front = "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=False))
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
