"""
YAML in, plain values with places out.

Works on the parser's events, not on its objects: nothing nests until it is known not to nest
too deeply, and aliases are refused before anything is copied.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

import yaml

from slotfit.errors import InputError, Mistake
from slotfit.load.yaml_fault import faults_of
from slotfit.load.yaml_text import LOADER, UNPRINTABLE, check_characters, read_text, refuse
from slotfit.model.entity import Span

LONGEST_FIGURE = 40
"""Characters; beyond it a figure is kept as text and refused where a number is expected."""

WORDS = {
    **dict.fromkeys(("null", "Null", "NULL", "~", "")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}

CORE: tuple[tuple[re.Pattern[str], Callable[[str], Any]], ...] = (
    (re.compile(r"^[-+]?[0-9]+$"), int),
    (re.compile(r"^0o[0-7]+$|^0x[0-9a-fA-F]+$"), lambda text: int(text, 0)),
    (re.compile(r"^[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?$"), float),
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


@dataclass
class Written:
    """One file: its content, where that is written, and what is wrong with the writing itself."""

    file: str
    """As shown in messages."""
    root: Any = None
    """Dicts, tuples and scalars."""
    spans: dict[Loc, Span] = field(default_factory=dict)
    """Where each key and list item is written, what encloses it first; () is the whole."""
    mistakes: list[Mistake] = field(default_factory=list)
    spoiled: set[Loc] = field(default_factory=set)
    """Places whose content was refused; what seems missing there is not a second mistake."""

    @cached_property
    def locs(self) -> dict[Span, Loc]:
        """Place -> the outermost loc written there."""
        return {span: loc for loc, span in reversed(self.spans.items())}

    def loc_of(self, span: Span | None) -> Loc:
        """The outermost loc that is written at `span`; the top if nothing is."""
        return self.locs.get(span, ()) if span else ()


def steps_of(written: Written, loc: Loc) -> Loc:
    """
    The steps of `loc` that are in the file.

    Others are left out: pydantic names the branch of a union, and short forms have inner fields
    that nobody wrote.
    """
    found: Loc = ()
    for step in loc:
        if (*found, step) in written.spans:
            found = (*found, step)
    return found


def span_at(written: Written, loc: Loc) -> Span:
    """Where the key or item at `loc` is written, or what encloses it."""
    return written.spans[steps_of(written, loc)]


def value_at(written: Written, loc: Loc) -> Any:
    """What is written at `loc`; for a step that was not written, what encloses it."""
    value = written.root
    for step in steps_of(written, loc):
        value = value[step]
    return value


def without(written: Written, gone: Collection[Loc], at: Loc = ()) -> Written:
    """What is at `at`, as if it were the whole file, without what is at the locs in `gone`."""
    left = Written(written.file)

    def copied(value: Any, old: Loc, new: Loc) -> Any:
        left.spans[new] = written.spans[old]
        if isinstance(value, dict):
            keys = [key for key in value if (*old, key) not in gone]
            return {key: copied(value[key], (*old, key), (*new, key)) for key in keys}
        if isinstance(value, tuple):
            numbers = [number for number in range(len(value)) if (*old, number) not in gone]
            return tuple(
                copied(value[number], (*old, number), (*new, place))
                for place, number in enumerate(numbers)
            )
        return value

    left.root = copied(value_at(written, at), at, ())
    return left


DEEPEST = 40

ESCAPING = '"'
"""Quotes in which escapes are read (YAML 1.2.2, 7.3.1)."""


def read_yaml(path: Path) -> Written:
    """
    A YAML file's content.

    Mistakes that leave the rest readable (a key written twice, an alias) are in `mistakes` of what
    comes back; InputError if nothing could be made of the file.
    """
    return composed(*read_text(path))


def parse_yaml(text: str, file: str) -> Written:
    """The same for text that did not come from a file; `file` is what to call it."""
    check_characters(text, file)
    return composed(text, file)


def composed(text: str, file: str) -> Written:
    written = Written(file)
    try:
        Composer(written, yaml.parse(text, Loader=LOADER)).read()
    except yaml.YAMLError as error:
        raise InputError([*written.mistakes, *faults_of(error, text, file)]) from None
    return written


class Composer:
    """Fills a `Written` from a parser's events."""

    def __init__(self, written: Written, events: Iterator[Any]) -> None:
        self.written = written
        self.spans = written.spans
        """Where to note places; elsewhere while what was refused is read and forgotten."""
        self.events = events
        self.depth = 0

    def read(self) -> None:
        """The one document; InputError if there are more, or none."""
        documents = 0
        for event in self.events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    text = "a second document begins here; put it in a file of its own"
                    raise self.refusal(event, text)
            elif isinstance(event, yaml.NodeEvent):
                is_scalar = isinstance(event, yaml.ScalarEvent | yaml.AliasEvent)
                self.spans[()] = Span(self.written.file, 1, 1) if is_scalar else self.span(event)
                self.written.root = self.value(event, ())
        if not documents:
            raise refuse(self.written.file, "the file is empty")

    def span(self, event: yaml.Event) -> Span:
        mark: Any = event.start_mark
        return Span(self.written.file, mark.line + 1, mark.column + 1)

    def complain(self, event: yaml.Event, text: str, loc: Loc) -> None:
        self.written.mistakes.append(Mistake(self.span(event), path_text(loc), text))

    def refusal(self, event: yaml.Event, text: str) -> InputError:
        """The error for what ends the reading, with all that was wrong before."""
        return InputError([*self.written.mistakes, Mistake(self.span(event), "", text)])

    def value(self, event: Any, loc: Loc) -> Any:
        """What begins with an event; aliases, anchors and tags in it are mistakes."""
        if isinstance(event, yaml.AliasEvent):
            text = f"`*{event.anchor}` refers to a text elsewhere; write it out here"
            self.complain(event, text, loc)
            self.written.spoiled.add(loc)
            return None
        if event.anchor is not None:
            text = f"anchor `&{event.anchor}`; leave it out and write the text wherever it is meant"
            self.complain(event, text, loc)
        if event.tag is not None and event.tag != "!":
            tag = event.tag.replace("tag:yaml.org,2002:", "!!")
            self.complain(event, f"tag `{tag}`; leave it out, values need none", loc)
        if isinstance(event, yaml.ScalarEvent):
            return self.scalar(event, loc)
        if self.depth == DEEPEST:
            text = f"nested more than {DEEPEST} levels deep; no description needs that"
            raise self.refusal(event, text)
        self.depth += 1
        is_list = isinstance(event, yaml.SequenceStartEvent)
        found = tuple(self.items(loc)) if is_list else self.mapping(loc)
        self.depth -= 1
        return found

    def scalar(self, event: Any, loc: Loc) -> Any:
        """Escapes may make characters that no file may hold as they are."""
        if event.implicit[0]:
            return plain_value(event.value)
        found = UNPRINTABLE.search(event.value) if event.style == ESCAPING else None
        if found is None:
            return event.value
        code = f"U+{ord(found.group()):04X}"
        self.complain(event, f"unprintable character {code} in a text", loc)
        return UNPRINTABLE.sub("?", event.value)

    def items(self, loc: Loc) -> Iterator[Any]:
        for number, event in enumerate(self.events):
            if isinstance(event, yaml.SequenceEndEvent):
                return
            self.spans[*loc, number] = self.span(event)
            yield self.value(event, (*loc, number))

    def mapping(self, loc: Loc) -> dict[str, Any]:
        """Keys that are refused are left out, with all that is below them."""
        found: dict[str, Any] = {}
        for event in self.events:
            if isinstance(event, yaml.MappingEndEvent):
                break
            key = self.forgotten(event, loc)
            text = getattr(event, "value", None)
            inner = (*loc, key if isinstance(key, str) else str(text))
            wrong = key_fault(key, text, self.spans.get(inner))
            if wrong is None:
                self.spans[inner] = self.span(event)
                found[key] = self.value(next(self.events), inner)
                continue
            self.complain(event, wrong, inner if isinstance(key, str) else loc)
            if key == "<<":
                self.written.spoiled.add(loc)
            value = next(self.events)
            if isinstance(value, yaml.AliasEvent):  # the key was refused: one mistake is enough
                self.written.spoiled.add(inner)
            else:
                self.forgotten(value, inner)
        return found

    def forgotten(self, event: Any, loc: Loc) -> Any:
        """A value whose places are not noted: a key, or what stands below one that is refused."""
        noted, self.spans = self.spans, {}
        found = self.value(event, loc)
        self.spans = noted
        return found


def key_fault(key: Any, text: str | None, first: Span | None) -> str | None:
    """What is wrong with a key as read; `first` is where the mapping has it already."""
    if isinstance(key, dict | tuple):
        return "a key must be one word or a text in quotes, not a list or mapping"
    if key is None:
        return "a key is missing before the colon"
    if not isinstance(key, str):
        return f'a key must be text: write "{text}" in quotes'
    if key == "<<":
        return "`<<` copies keys from elsewhere; write them out here"
    if first:
        return f"written twice; first on line {first.line}, column {first.column}: keep one"
    return None
