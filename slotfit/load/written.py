"""What a file says: plain values that remember where each key and item was written."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cached_property
from typing import Any

from slotfit.errors import Mistake
from slotfit.model.span import Span

PLAIN_KEY = re.compile(r"^(?!\d+$)[\w+<-]{1,80}$")
"""A key that can stand in a path as it is; others, and item numbers, go in brackets."""

Loc = tuple[str | int, ...]
"""The way from the top of a file to a value: keys and item numbers."""


class Map(dict[str, Any]):
    """A mapping as written. `spans` has the place of each key, `span` the mapping's own."""

    __slots__ = ("span", "spans")

    def __init__(self, span: Span) -> None:
        super().__init__()
        self.span = span
        self.spans: dict[str, Span] = {}


class Seq(tuple[Any, ...]):  # noqa: SLOT001  a tuple cannot have slots of its own
    """A list as written, with the place of each item."""

    spans: tuple[Span, ...]
    span: Span

    @classmethod
    def of(cls, span: Span, items: list[Any], spans: list[Span]) -> Seq:
        """Build one; a tuple takes its attributes only after it is made."""
        made = cls(items)
        made.span, made.spans = span, tuple(spans)
        return made


class Written:
    """One file: its content, and what is wrong with the writing itself."""

    def __init__(self, file: str, root: Any) -> None:
        self.file = file
        """As shown in messages."""
        self.root = root
        self.mistakes: list[Mistake] = []
        self.spoiled: set[Loc] = set()
        """Places whose content was refused; what seems missing there is not a second mistake."""

    @property
    def top(self) -> Span:
        """Where the content begins."""
        return self.root.span if isinstance(self.root, Map | Seq) else Span(self.file, 1, 1)

    @cached_property
    def locs(self) -> dict[Span, Loc]:
        """Place -> the outermost loc written there."""
        found: dict[Span, Loc] = {}
        for span, loc in all_locs(self.root):
            found.setdefault(span, loc)
        return found


def step_into(value: Any, step: str | int) -> tuple[bool, Any]:
    """Whether `value` has something at `step`, and what."""
    if isinstance(value, Map) and isinstance(step, str) and step in value:
        return True, value[step]
    if isinstance(value, Seq) and isinstance(step, int) and step < len(value):
        return True, value[step]
    return False, None


def steps_found(root: Any, loc: Loc) -> Iterator[tuple[str | int, Span, Any]]:
    """
    The steps of `loc` that exist in the file, each with its place and value.

    A step that is not in the file is left out: pydantic names the branch of a union, and short
    forms have inner fields that nobody wrote.
    """
    value = root
    for step in loc:
        there, inner = step_into(value, step)
        if there:
            yield step, value.spans[step], inner
            value = inner


def steps_of(root: Any, loc: Loc) -> Loc:
    """The steps of `loc` that are in the file."""
    return tuple(step for step, _, _ in steps_found(root, loc))


def value_at(root: Any, loc: Loc) -> Any:
    """What is written at `loc`; for a step that was not written, what encloses it."""
    for _, _, value in steps_found(root, loc):
        root = value
    return root


def span_at(written: Written, loc: Loc) -> Span:
    """Where the key or item at `loc` is written, or what encloses it."""
    span = written.top
    for _, found, _ in steps_found(written.root, loc):
        span = found
    return span


def children(value: Any) -> Iterator[tuple[str | int, Span, Any]]:
    """What a mapping or list holds: step, place, value."""
    if isinstance(value, Map):
        for key, inner in value.items():
            yield key, value.spans[key], inner
    elif isinstance(value, Seq):
        yield from ((number, value.spans[number], inner) for number, inner in enumerate(value))


def all_locs(value: Any, here: Loc = ()) -> Iterator[tuple[Span, Loc]]:
    """Where everything is written; what encloses a thing comes before it."""
    for step, span, inner in children(value):
        yield span, (*here, step)
        yield from all_locs(inner, (*here, step))


def loc_of(written: Written, span: Span | None) -> Loc:
    """The outermost loc that is written at `span`; the top if nothing is."""
    if span is None or span == written.top:
        return ()
    return written.locs.get(span, ())


def path_text(loc: Loc) -> str:
    """
    How a message names a place in a file.

    >>> path_text(("receptacles", 2, "width"))
    'receptacles[2].width'
    """
    text = ""
    for step in loc:
        text += f".{step}" if PLAIN_KEY.match(str(step)) else f"[{step!r:.40}]"
    return text.removeprefix(".")
