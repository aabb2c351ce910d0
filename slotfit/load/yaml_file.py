"""
YAML in, plain values with places out.

Works on the parser's events, not on its objects: nothing nests until it is known not to nest
too deeply, and aliases are refused before anything is copied.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml

from slotfit.errors import InputError, Mistake
from slotfit.load.file_text import UNPRINTABLE, check_characters, read_text, refuse
from slotfit.load.scalars import plain_value
from slotfit.load.written import Loc, Map, Seq, Written, path_text
from slotfit.model.span import Span

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
        from slotfit.load.yaml_faults import fault_of  # noqa: PLC0415

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
