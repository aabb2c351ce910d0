"""
Changes to users' files: what is not touched stays byte for byte, comments included.

An edit names a place by its loc. Each is made in the text, which is parsed again and compared with
what was meant.
"""

from __future__ import annotations

import difflib
import json
import re
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from slotfit.errors import InputError, InternalError, Mistake
from slotfit.files import write_file
from slotfit.load.yaml_file import Loc, parse_yaml, path_text
from slotfit.load.yaml_text import UNPRINTABLE, decode, position, read_bytes, shown
from slotfit.model.entity import Span


@dataclass(frozen=True, slots=True)
class Put:
    """Write a value at a key or part; a key that is not there yet is added, with those above it."""

    loc: Loc
    value: Any


@dataclass(frozen=True, slots=True)
class Append:
    """Add a part to the list at `loc`; the list is made if it is not there."""

    loc: Loc
    value: Any


@dataclass(frozen=True, slots=True)
class Remove:
    """Take a key or part out."""

    loc: Loc


@dataclass(frozen=True, slots=True)
class Rename:
    """Give a key another name."""

    loc: Loc
    key: str


Edit = Put | Append | Remove | Rename

BYTE_ORDER_MARK = b"\xef\xbb\xbf"


def edit_file(path: Path, edits: Iterable[Edit]) -> str:
    """Change a file in place and return what changed as a unified diff. Raises as `edited` does."""
    file = shown(path)
    raw = read_bytes(path, file)
    before = decode(raw, file)
    after = edited(before, edits, file)
    mark = BYTE_ORDER_MARK if raw.startswith(BYTE_ORDER_MARK) else b""
    write_file(path, mark + after.encode())
    return diff_of(before, after, file)


def diff_of(before: str, after: str, file: str) -> str:
    """A unified diff of two versions of a file; empty if they are the same."""
    old, new = (text.splitlines(keepends=True) for text in (before, after))
    lines = difflib.unified_diff(old, new, file, file)
    missing = "\n\\ No newline at end of file\n"
    return "".join(line if line.endswith("\n") else line + missing for line in lines)


def edited(text: str, edits: Iterable[Edit], file: str) -> str:
    """
    The text with the edits made, one after the other; `file` is its name in messages.

    Raises InputError where it has mistakes, aliases or `?` keys, or lacks what an edit names, and
    InternalError if the result does not read as meant.
    """
    for edit in edits:
        written = parse_yaml(text, file)
        if written.mistakes:
            raise InputError(written.mistakes)
        wanted = meant(written.root, edit, file)
        for start, end, new in sorted(TextLayout(text, file).splices(edit, wanted), reverse=True):
            text = text[:start] + new + text[end:]
        found = parse_yaml(text, file)
        if found.mistakes or repr(found.root) != repr(wanted):
            raise InternalError(f"{file}: {edit} was not made as meant")
    return text


def not_there(file: str, loc: Loc) -> InputError:
    return InputError([Mistake(file, path_text(loc), "is not in the file")])


def has(holder: Any, step: str | int) -> bool:
    """Whether a mapping or list has this key or part."""
    return step in holder if isinstance(holder, dict) else step in range(len(holder or ()))


def value_in(root: Any, loc: Loc) -> Any:
    """What stands at `loc`; None also where nothing does."""
    for step in loc:
        if not isinstance(root, dict | tuple) or not has(root, step):
            return None
        root = root[step]  # type: ignore[index]  # a list has numbers only
    return root


def meant(root: Any, edit: Edit, file: str) -> Any:
    """The content with an edit made, as the parser would give it."""
    if isinstance(edit, Put):
        return with_value(root, edit.loc, edit.value, file)
    if isinstance(edit, Append):
        parts = value_in(root, edit.loc)
        if parts is not None and not isinstance(parts, tuple):
            raise not_there(file, (*edit.loc, 0))
        return with_value(root, edit.loc, (*(parts or ()), edit.value), file)
    above, step = edit.loc[:-1], edit.loc[-1]
    holder = value_in(root, above)
    if not isinstance(holder, dict | tuple) or not has(holder, step):
        raise not_there(file, edit.loc)
    left: Any
    if isinstance(holder, tuple):
        left = tuple(value for number, value in enumerate(holder) if number != step)
    elif isinstance(edit, Remove):
        left = {key: value for key, value in holder.items() if key != step}
    else:
        if edit.key in holder:
            text = f"cannot be called {edit.key}: that is there already"
            raise InputError([Mistake(file, path_text(edit.loc), text)])
        left = {edit.key if key == step else key: value for key, value in holder.items()}
    return with_value(root, above, left, file)


def with_value(value: Any, loc: Loc, new: Any, file: str, above: Loc = ()) -> Any:
    """The value with something else at `loc`; keys on the way that are not there are made."""
    if not loc:
        return plain(new)
    step, here = loc[0], (*above, loc[0])
    if isinstance(step, str) and (isinstance(value, dict) or (value is None and above)):
        held = value or {}
        return {**held, step: with_value(held.get(step), loc[1:], new, file, here)}
    if isinstance(value, tuple) and isinstance(step, int) and has(value, step):
        inner = with_value(value[step], loc[1:], new, file, here)
        return (*value[:step], inner, *value[step + 1 :])
    raise not_there(file, (*above, *loc))


def plain(value: Any) -> Any:
    """A value as the parser would give it: dicts, tuples and scalars."""
    if isinstance(value, Mapping):
        return {key: plain(inner) for key, inner in value.items()}
    return tuple(map(plain, value)) if isinstance(value, list | tuple) else value


PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9_+]*(?:[ ./+-][A-Za-z0-9_+]+)*")
NOT_TEXT = frozenset(("true", "false", "null", "yes", "no", "on", "off", "y", "n"))
"""What some reader of YAML takes for something else than a text (1.1 types and 1.2.2 10.3.2)."""


def flow_text(value: Any) -> str:
    """
    A value on one line, its texts in quotes unless they are plainly words.

    >>> flow_text({"id": "cpu0", "lanes": [4, 4.0], "label": "a: b", "near": None, "x": "no"})
    '{id: cpu0, lanes: [4, 4.0], label: "a: b", near: null, x: "no"}'
    """
    if isinstance(value, Mapping):
        pairs = (f"{flow_text(key)}: {flow_text(inner)}" for key, inner in value.items())
        return "{" + ", ".join(pairs) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(flow_text, value)) + "]"
    if isinstance(value, str):
        if PLAIN.fullmatch(value) and value.lower() not in NOT_TEXT:
            return value
        if found := UNPRINTABLE.search(value):
            code = f"U+{ord(found.group()):04X}"
            raise InputError([Mistake(ascii(value), "", f"unprintable character {code} in a text")])
    return json.dumps(value, ensure_ascii=False)


Splice = tuple[int, int, str]
"""From, to, and what is to stand there."""


@dataclass(frozen=True, slots=True)
class TextEntry:
    """One key with its value, or one part of a list, in the text."""

    key: str | None
    start: int
    """Of the key, the dash, or a part without one."""
    key_end: int
    """Behind the key; the start of a part."""
    mark_end: int | None
    """Behind the colon or dash, if there is one."""
    value: yaml.Node


def is_block(node: yaml.Node) -> bool:
    return isinstance(node, yaml.CollectionNode) and not node.flow_style


class TextLayout:
    """Where everything in a text stands."""

    def __init__(self, text: str, file: str) -> None:
        self.text = text
        self.file = file
        self.line_break = "\r\n" if "\r\n" in text else "\n"
        self.dashes: list[int] = []
        self.colons: list[int] = []
        self.commas: list[int] = []
        self.kept_ends: list[int] = []
        """Ends of texts after `|+` or `>+`: blank lines that follow one are its own."""
        self.open_end = 0
        """Of the last text to which a line end behind it would belong."""
        if "\r" in text.replace("\r\n", ""):
            raise self.refusal(0, "lines end in a carriage return alone; save it with line feeds")
        for token in yaml.scan(text, Loader=yaml.SafeLoader):
            self.note(token)
        self.root: Any = yaml.compose(text, Loader=yaml.SafeLoader)

    def note(self, token: yaml.Token) -> None:
        start, end = token.start_mark.index, token.end_mark.index
        match token:
            case yaml.BlockEntryToken():
                self.dashes.append(start)
            case yaml.ValueToken():
                self.colons.append(start)
            case yaml.FlowEntryToken():
                self.commas.append(start)
            case yaml.ScalarToken(style="|" | ">"):
                header = self.text[start : start + 3]
                self.open_end = self.open_end if "-" in header else end
                if "+" in header:
                    self.kept_ends.append(end)
            case yaml.KeyToken() if end > start:
                raise self.refusal(start, "a key after `?`; write `key: value` to have it changed")
            case _:
                pass

    def refusal(self, index: int, text: str) -> InputError:
        return InputError([Mistake(Span(self.file, *position(self.text, index)), "", text)])

    def line_start(self, index: int) -> int:
        return self.text.rfind("\n", 0, index) + 1

    def line_end(self, index: int) -> int:
        """Behind the end of the line that `index` is in."""
        found = self.text.find("\n", index)
        return len(self.text) if found < 0 else found + 1

    def opens_line(self, index: int) -> bool:
        return not self.text[self.line_start(index) : index].strip()

    def end(self, entry: TextEntry) -> int:
        """Behind the last sign of an entry, comments not counted."""
        node = entry.value
        if is_block(node) or self.is_bare_pair(node):
            return self.end([*self.entries(node)][-1])
        end: int = node.end_mark.index
        if end == node.start_mark.index:
            return entry.mark_end or entry.key_end
        return len(self.text[:end].rstrip())

    def lines_end(self, end: int) -> int:
        """Behind the lines of what ends at `end`."""
        found = self.line_end(end - 1)
        kept = [one for one in self.kept_ends if not self.text[found:one].strip()]
        return max(found, *kept, found)

    def entries(self, node: yaml.Node) -> Iterator[TextEntry]:
        """What a mapping or list holds, in order."""
        for child in node.value:
            value = child[1] if isinstance(child, tuple) else child
            start: int = value.start_mark.index
            if isinstance(child, tuple):
                key, key_end = child[0], child[0].end_mark.index
                colon = next_of(self.colons, key_end, start)
                mark_end = None if colon is None else colon + 1
                yield TextEntry(key.value, key.start_mark.index, key_end, mark_end, value)
            elif is_block(node):
                dash = self.dashes[bisect_left(self.dashes, start) - 1]
                yield TextEntry(None, dash, dash, dash + 1, value)
            else:
                yield TextEntry(None, start, start, None, value)

    def is_bare_pair(self, node: yaml.Node) -> bool:
        """A mapping of one key that stands in a list without braces: `[a: 1]`."""
        is_flow = isinstance(node, yaml.MappingNode) and bool(node.flow_style)
        return is_flow and self.text[node.start_mark.index] != "{"

    def splices(self, edit: Edit, wanted: Any) -> list[Splice]:
        """What to change so that the text says `wanted`, its content with the edit made."""
        above: TextEntry | None = None
        entry: TextEntry | None = None
        holder, node = self.root, self.root
        for depth, step in enumerate(edit.loc):
            if entry and (self.is_bare_pair(node) or isinstance(node, yaml.ScalarNode)):
                return self.replaced(entry, flow_text(value_in(wanted, edit.loc[:depth])))
            found = [one for n, one in enumerate(self.entries(node)) if step in (n, one.key)]
            if not found:
                return self.added(node, str(step), value_in(wanted, edit.loc[: depth + 1]))
            above, entry, holder, node = entry, found[0], node, found[0].value
        if isinstance(edit, Append) and isinstance(node, yaml.SequenceNode):
            return self.added(node, None, edit.value)
        if entry is None:
            raise not_there(self.file, edit.loc)
        if isinstance(edit, Remove):
            return self.removed(holder, entry, above)
        if isinstance(edit, Rename):
            return self.renamed(entry, edit.key)
        return self.replaced(entry, flow_text(value_in(wanted, edit.loc)))

    def renamed(self, entry: TextEntry, key: str) -> list[Splice]:
        behind = self.text[entry.mark_end : entry.mark_end + 1] if entry.mark_end else ""
        is_tight = bool(behind.strip())  # only a key in quotes needs no space behind its colon
        new = json.dumps(key, ensure_ascii=False) if is_tight else flow_text(key)
        return [(entry.start, entry.key_end, new)]

    def replaced(self, entry: TextEntry, new: str) -> list[Splice]:
        """Another value, written on one line."""
        node, end = entry.value, self.end(entry)
        start: int = node.start_mark.index
        if start == node.end_mark.index:
            at = entry.mark_end or entry.key_end
            return [(at, at, f" {new}" if entry.mark_end else f": {new}")]
        if is_block(node) and entry.mark_end and self.line_start(start) > entry.mark_end:
            lines = (self.line_start(start), self.lines_end(end), "")
            return [(entry.mark_end, entry.mark_end, f" {new}"), lines]
        return [(start, end, new)]

    def added(self, node: yaml.Node, key: str | None, value: Any) -> list[Splice]:
        """One more key or part, behind the others."""
        entries = [*self.entries(node)]
        new = flow_text(value) if key is None else f"{flow_text(key)}: {flow_text(value)}"
        if not entries:
            at = node.start_mark.index + 1
            return [(at, at, new + (" " if self.text[at] == "#" else ""))]
        if is_block(node):
            return self.added_lines(
                entries, [new] if key is not None else part_lines(self, entries[-1], value)
            )
        last = entries[-1]
        end, bracket = self.end(last), node.end_mark.index - 1
        comma = next_of(self.commas, end, bracket)
        at = self.line_end(end if comma is None else comma)
        if not self.opens_line(last.start) or at > bracket:
            return [(end, end, f", {new}")]
        line = self.text[self.line_start(last.start) : last.start] + new
        if comma is not None:
            return [(at, at, line + "," + self.line_break)]
        return [(end, end, ","), (at, at, line + self.line_break)]

    def added_lines(self, entries: Sequence[TextEntry], lines: Sequence[str]) -> list[Splice]:
        """Lines behind the last entry, indented as the first."""
        start, at = entries[0].start, self.lines_end(self.end(entries[-1]))
        before = self.text[self.line_start(start) : start]
        if "\t" in before:
            raise self.refusal(start, "a tab before the text; write spaces to have it changed")
        new = "".join(" " * len(before) + line + self.line_break for line in lines)
        if self.text[at - 1] == "\n":
            return [(at, at, new)]
        if self.open_end == len(self.text):
            raise self.refusal(at, "the last line has no end; add one to have the file changed")
        return [(at, at, self.line_break + new.removesuffix(self.line_break))]

    def removed(self, holder: yaml.Node, entry: TextEntry, above: TextEntry | None) -> list[Splice]:
        """Without one entry of `holder`, whose own entry is `above`."""
        entries, end = [*self.entries(holder)], self.end(entry)
        place = [one.start for one in entries].index(entry.start)
        following = entries[place + 1] if place + 1 < len(entries) else None
        if not is_block(holder):
            return [self.removed_in_line(holder, entry, following)]
        if len(entries) == 1:
            empty = "{}" if isinstance(holder, yaml.MappingNode) else "[]"
            return self.replaced(above, empty) if above else [(entry.start, end, empty)]
        lines_end = self.lines_end(end)
        if self.opens_line(entry.start) or following is None:
            start = self.line_start(entry.start)
            while start in self.kept_ends and self.text[lines_end:].strip():
                blank_end = self.line_end(lines_end)
                if self.text[lines_end:blank_end].strip():
                    break
                lines_end = blank_end
            return [(start, lines_end, "")]
        if self.text[lines_end : following.start].strip():  # comments of the entry that follows
            return [(len(self.text[: entry.start].rstrip()), lines_end, self.line_break)]
        return [(entry.start, following.start, "")]

    def removed_in_line(
        self, holder: yaml.Node, entry: TextEntry, following: TextEntry | None
    ) -> Splice:
        """Without an entry between brackets, and without its comma."""
        end, bracket = self.end(entry), holder.end_mark.index - 1
        comma = next_of(self.commas, end, bracket)
        stop = end if comma is None else comma + 1
        rest = self.text[stop : self.line_end(stop)].strip()
        if self.opens_line(entry.start) and (not rest or rest.startswith("#")):
            return self.line_start(entry.start), self.line_end(stop), ""
        if following:
            spaces = len(self.text[stop:]) - len(self.text[stop:].lstrip(" "))
            return entry.start, stop + (0 if rest.startswith("#") else spaces), ""
        before = max((one for one in self.commas if one < entry.start), default=0)
        if before > holder.start_mark.index and "\n" not in self.text[before : entry.start]:
            return before, stop, ""
        return entry.start, stop, ""


def next_of(places: Sequence[int], start: int, end: int) -> int | None:
    """The first of some sorted places from `start` up to before `end`."""
    number = bisect_left(places, start)
    return places[number] if number < len(places) and places[number] < end else None


def part_lines(layout: TextLayout, like: TextEntry, value: Any) -> list[str]:
    """A part of a list; a mapping stands key under key where the part before it does."""
    if not isinstance(value, Mapping) or not value or not is_block(like.value):
        return [f"- {flow_text(value)}"]
    indent = like.value.start_mark.index - like.start
    indent = 2 if "\n" in layout.text[like.start :][:indent] else indent
    keys = [f"{flow_text(key)}: {flow_text(inner)}" for key, inner in value.items()]
    return ["-".ljust(indent) + keys[0], *(" " * indent + key for key in keys[1:])]
