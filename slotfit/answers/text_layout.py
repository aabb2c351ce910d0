"""Lines for a terminal or a file, as wide as whoever reads them has room."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import fields, is_dataclass
from json import dumps
from typing import Any

from slotfit.answers.answer_word import AnswerWord

ONE_LINE = dict.fromkeys(map(ord, "\n\t"), " ")
"""For cells of a table: a name that a file gives may break a line."""

NARROW = 70
"""Below so many columns tables become cards."""

LAST = 12
"""The last column of a table is at least so wide."""


WIDTH: ContextVar[int] = ContextVar("WIDTH", default=80)
"""Columns."""


@contextmanager
def laid_out(width: int) -> Iterator[None]:
    """Texts made inside are so wide."""
    before = WIDTH.set(width)
    try:
        yield
    finally:
        WIDTH.reset(before)


BOLD, GOOD, BAD, END = map(chr, range(0xFDD0, 0xFDD4))
"""Marks around a line that stands out: noncharacters, which no text holds (Unicode, 23.7)."""

STYLED: ContextVar[bool] = ContextVar("STYLED", default=False)
"""Whether texts have marks, for somebody who turns them into what a terminal obeys."""


@contextmanager
def styled(wanted: bool) -> Iterator[None]:
    """Texts joined inside have marks, if wanted."""
    before = STYLED.set(wanted)
    try:
        yield
    finally:
        STYLED.reset(before)


class Marked(str):
    """A line that stands out where there is a terminal; its words say all there is to say."""

    __slots__ = ("mark",)

    mark: str


def marked(lines: Iterable[str], mark: str) -> Iterator[str]:
    """The same lines, to stand out."""
    for text in lines:
        line = Marked(text)
        line.mark = mark
        yield line


def joined(lines: Iterable[str]) -> str:
    """Lines as one text; each ends where its words end."""
    if not STYLED.get():
        return "\n".join(line.rstrip() for line in lines) + "\n"
    return "\n".join(map(with_mark, lines)) + "\n"


UNMARKED = dict.fromkeys(map(ord, (BOLD, GOOD, BAD, END)))
"""Marks come from here, and from no name in a file."""


def with_mark(line: str) -> str:
    """A line between its marks."""
    text = line.rstrip().translate(UNMARKED)
    return f"{line.mark}{text}{END}" if isinstance(line, Marked) else text


def wrapped(text: str, first: str = "", further: str = "", *, whole: bool = False) -> list[str]:
    """A paragraph; `whole`: names and paths are not broken, to be copied."""
    return textwrap.wrap(
        text,
        WIDTH.get(),
        initial_indent=first,
        subsequent_indent=further,
        break_on_hyphens=False,
        break_long_words=not whole,
    )


def heading(text: str) -> Iterator[str]:
    """A title with a blank line above it."""
    yield ""
    yield from marked(wrapped(text), BOLD)


COLOUR: Mapping[AnswerWord, str] = {"yes": GOOD, "no": BAD, "out of time": BAD}
"""Word of a verdict -> how it stands out; any other is bold."""


def verdict(word: AnswerWord, text: str) -> Iterator[str]:
    """The sentence or two that answer what was asked."""
    yield from marked(wrapped(text), COLOUR.get(word, BOLD))


def fill(text: str, indent: str = "") -> list[str]:
    """A paragraph."""
    return wrapped(text, indent, indent)


def bullet(text: str, hang: int = 4) -> list[str]:
    """A point of a list; its further lines hang below its words."""
    return wrapped(text, "  - ", " " * max(hang, 4))


def bulleted(title: str, texts: Iterable[str], hang: int = 4) -> Iterator[str]:
    """A title with its points; nothing where there are none."""
    texts = [*texts]
    if texts:
        yield from heading(title)
    for text in texts:
        yield from bullet(text, hang)


def columns(head: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """A table, its last column wrapped; cards where there is no room for one."""
    flat = [tuple(cell.translate(ONE_LINE) for cell in row) for row in rows]
    widths = [max(len(row[i]) for row in (head, *flat)) for i in range(len(head) - 1)]
    last = WIDTH.get() - 2 - sum(widths) - 2 * len(widths)
    needed = max((len(row[-1]) for row in flat), default=0)
    if flat and (WIDTH.get() < NARROW or last < min(LAST, needed)):
        for row in flat:
            yield from card(head, row)
        return
    for row in (tuple(head), *flat):
        front = "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=False))
        cell, *more = textwrap.wrap(row[-1], max(last, LAST), break_on_hyphens=False) or [""]
        yield f"  {front}  {cell}"
        yield from (" " * (len(front) + 4) + one for one in more)


def card(head: Sequence[str], row: Sequence[str]) -> list[str]:
    """One row of a table as a paragraph: what it is about, then each cell with its title."""
    indent = " " * (len(row[0]) - len(row[0].lstrip()))
    cells = zip(head[1:], row[1:], strict=True)
    told = (f"{title} {cell}".strip() for title, cell in cells if cell not in ("", "-"))
    return wrapped(f"{row[0].strip()}: {'; '.join(told)}", f"  {indent}", f"      {indent}")


LONG_FRONT = 20
"""Where tables become cards, what stands before a paragraph has its own line if it is longer."""


def hung(front: str, text: str) -> list[str]:
    """A paragraph behind `front`; names and paths stay whole, to be copied."""
    if WIDTH.get() < NARROW and len(front) > LONG_FRONT:
        return [front.rstrip(), *wrapped(text, " " * 6, " " * 6, whole=True)]
    return wrapped(text, front, " " * len(front), whole=True)


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
