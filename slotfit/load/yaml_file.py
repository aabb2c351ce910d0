"""
YAML in, plain values with places out.

Works on the parser's events, not on its objects: nothing nests until it is known not to nest
too deeply, and aliases are refused before anything is copied.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from functools import cached_property
from pathlib import Path
from typing import Any

import yaml

from slotfit.errors import InputError, Mistake
from slotfit.load.yaml_text import UNPRINTABLE, check_characters, fault_of, read_text, refuse
from slotfit.model.entity import Span

LONGEST_FIGURE = 40
"""Characters; beyond it a figure is kept as text and refused where a number is expected."""

WORDS = {
    **dict.fromkeys(("null", "Null", "NULL", "~", "")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
INTEGER = re.compile(r"^[-+]?[0-9]+$")
OCTAL = re.compile(r"^0o[0-7]+$")
HEXADECIMAL = re.compile(r"^0x[0-9a-fA-F]+$")
FLOAT = re.compile(r"^[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?$")

CORE: tuple[tuple[re.Pattern[str], Callable[[str], Any]], ...] = (
    (INTEGER, int),
    (OCTAL, lambda text: int(text, 0)),
    (HEXADECIMAL, lambda text: int(text, 0)),
    (FLOAT, float),
)


FIGURES = frozenset("+-.0123456789")
"""How a figure begins."""


def plain_value(text: str) -> Any:
    """
    What an unquoted scalar means.

    >>> [plain_value(text) for text in ("no", "4", "1:30", "2.5", "true", "~", ".inf")]
    ['no', 4, '1:30', 2.5, True, None, '.inf']
    """
    if text in WORDS:
        return WORDS[text]
    if len(text) > LONGEST_FIGURE or text[0] not in FIGURES:
        return text
    for pattern, value in CORE:
        if pattern.match(text):
            found = value(text)
            return text if isinstance(found, float) and math.isinf(found) else found
    return text


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


DEEPEST = 40

Faults = tuple[tuple[str, bool], ...]
"""What is wrong, and whether it spoils what it is in."""

ESCAPING = '"'
"""Quotes in which escapes are read (YAML 1.2.2, 7.3.1)."""

LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


def read_yaml(path: Path) -> Written:
    """
    A YAML file's content.

    Mistakes that leave the rest readable (a key written twice, an alias) are in `mistakes` of what
    comes back; InputError if nothing could be made of the file.
    """
    text, file = read_text(path)
    return written_in(text, file)


def parse_yaml(text: str, file: str) -> Written:
    """The same for text that did not come from a file; `file` is what to call it."""
    check_characters(text, file)
    return written_in(text, file)


def written_in(text: str, file: str) -> Written:
    written = Written(file, None)
    builder = Builder(written)
    try:
        for event in yaml.parse(text, Loader=LOADER):
            builder.take(event)
    except yaml.YAMLError as error:
        raise InputError([*written.mistakes, fault_of(error, text, file)]) from None
    if not builder.documents:
        raise refuse(file, "the file is empty")
    return written


class Builder:
    """Turns a parser's events into `Map`, `Seq` and scalars."""

    def __init__(self, written: Written) -> None:
        self.written = written
        self.documents = 0
        self.open: list[OpenMap | OpenSeq] = []

    def take(self, event: yaml.Event) -> None:
        """One event; those that carry no value (start and end of the stream) do nothing."""
        match event:
            case yaml.ScalarEvent():
                self.check_node(event)
                self.add(self.scalar(event), event)
            case yaml.MappingStartEvent():
                self.check_node(event)
                self.descend(OpenMap(self.span(event)))
            case yaml.SequenceStartEvent():
                self.check_node(event)
                self.descend(OpenSeq(self.span(event)))
            case yaml.MappingEndEvent() | yaml.SequenceEndEvent():
                closed = self.open.pop()
                self.add(closed.value(), event, closed.span)
            case yaml.DocumentStartEvent():
                self.start_document(event)
            case yaml.AliasEvent():
                self.refuse_alias(event)
            case _:
                pass

    def span(self, event: yaml.Event) -> Span:
        mark: Any = event.start_mark
        return Span(self.written.file, mark.line + 1, mark.column + 1)

    def loc(self) -> Loc:
        return tuple(step for opened in self.open for step in opened.step())

    def complain(self, where: Span, text: str, loc: Loc | None = None) -> None:
        path = path_text(self.loc() if loc is None else loc)
        self.written.mistakes.append(Mistake(where, path, text))

    def start_document(self, event: yaml.Event) -> None:
        self.documents += 1
        if self.documents > 1:
            text = "a second document begins here; put it in a file of its own"
            raise InputError([*self.written.mistakes, Mistake(self.span(event), "", text)])

    def refuse_alias(self, event: yaml.AliasEvent) -> None:
        if not (self.open and self.open[-1].drop):
            text = f"`*{event.anchor}` refers to a text elsewhere; write it out here"
            self.complain(self.span(event), text)
        self.written.spoiled.add(self.loc())
        self.add(None, event)

    def check_node(self, event: Any) -> None:
        """Anchors and tags are refused; what they stand on is read all the same."""
        if event.anchor is not None:
            text = f"anchor `&{event.anchor}`; leave it out and write the text wherever it is meant"
            self.complain(self.span(event), text)
        if event.tag is not None and event.tag != "!":
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")
            self.complain(self.span(event), f"tag `{tag}`; leave it out, values need none")

    def scalar(self, event: yaml.ScalarEvent) -> Any:
        text: str = event.value
        if event.implicit[0]:
            return plain_value(text)
        return self.printable(text, event) if event.style == ESCAPING else text

    def printable(self, text: str, event: yaml.ScalarEvent) -> str:
        """Escapes may make characters that no file may hold as they are."""
        if found := UNPRINTABLE.search(text):
            code = f"U+{ord(found.group()):04X}"
            self.complain(self.span(event), f"unprintable character {code} in a text")
        return UNPRINTABLE.sub("?", text)

    def descend(self, opened: OpenMap | OpenSeq) -> None:
        if len(self.open) == DEEPEST:
            text = f"nested more than {DEEPEST} levels deep; no description needs that"
            raise InputError([*self.written.mistakes, Mistake(opened.span, "", text)])
        self.open.append(opened)

    def add(self, value: Any, event: yaml.Event, span: Span | None = None) -> None:
        """Put a finished value where it belongs."""
        where = span or self.span(event)
        if not self.open:
            self.written.root = value
            return
        for problem, spoils in self.open[-1].put(value, where, getattr(event, "value", None)):
            outer = tuple(step for opened in self.open[:-1] for step in opened.step())
            self.complain(where, problem, (*outer, *self.open[-1].named(value)))
            if spoils:
                self.written.spoiled.add(outer)


class OpenSeq:
    """A list whose items are still coming."""

    drop = False

    def __init__(self, span: Span) -> None:
        self.span = span
        self.items: list[Any] = []
        self.spans: list[Span] = []

    def step(self) -> Loc:
        return (len(self.items),)

    def named(self, value: Any) -> Loc:  # noqa: ARG002  the same question as for a mapping
        return self.step()

    def put(self, value: Any, span: Span, text: str | None) -> Faults:  # noqa: ARG002
        self.items.append(value)
        self.spans.append(span)
        return ()

    def value(self) -> Seq:
        return Seq.of(self.span, self.items, self.spans)


class OpenMap:
    """A mapping whose keys and values are still coming, in turn."""

    def __init__(self, span: Span) -> None:
        self.span = span
        self.map = Map(span)
        self.key: str | None = None
        """The key whose value comes next; None if a key comes next."""
        self.drop = False
        """The key was refused: its value is read and forgotten."""

    def step(self) -> Loc:
        return () if self.key is None else (self.key,)

    def named(self, value: Any) -> Loc:
        return (value,) if isinstance(value, str) else ()

    def put(self, value: Any, span: Span, text: str | None) -> Faults:
        if self.key is None:
            return self.put_key(value, span, text)
        if not self.drop:
            self.map[self.key] = value
        self.key, self.drop = None, False
        return ()

    def put_key(self, key: Any, span: Span, text: str | None) -> Faults:
        """Remember the key; returns what is wrong with it, and whether the mapping is spoiled."""
        self.key = key if isinstance(key, str) else str(text)
        wrong = self.key_fault(key, text)
        self.drop = wrong is not None
        if not wrong:
            self.map.spans[self.key] = span
            return ()
        return ((wrong, key == "<<"),)

    def key_fault(self, key: Any, text: str | None) -> str | None:
        if isinstance(key, Map | Seq):
            return "a key must be one word or a text in quotes, not a list or mapping"
        if key is None:
            return "a key is missing before the colon"
        if not isinstance(key, str):
            return f'a key must be text: write "{text}" in quotes'
        if key == "<<":
            return "`<<` copies keys from elsewhere; write them out here"
        if first := self.map.spans.get(key):
            return f"written twice; first on line {first.line}, column {first.column}: keep one"
        return None

    def value(self) -> Map:
        return self.map
