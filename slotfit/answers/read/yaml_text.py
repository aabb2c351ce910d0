"""
YAML with comments, block by block.

Every text is quoted unless it is plainly a word, and everything is cleaned before it is written, so
that no name from a dump can be taken for anything but a text or a comment.
"""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from slotfit.answers.text_layout import joined
from slotfit.load.edit import flow_text
from slotfit.read.machine import Claim, Fact
from slotfit.read.seen import Where

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Sourced(Generic[T]):
    """A value, and its basis in words; `assumed` where nothing that was read says it."""

    value: T
    basis: str
    assumed: bool = False


def assumed(value: T, why: str) -> Sourced[T]:
    """A value that nothing says."""
    return Sourced(value, f"assumed: {why}", assumed=True)


class Places:
    """Names places in the sources as the user knows them: without the folders above a source."""

    def __init__(self, sources: Sequence[Path] = ()) -> None:
        tops = {f"{path.parent}/" for path in sources if str(path.parent) not in ("", ".")}
        self._tops = tuple(sorted(tops, key=len, reverse=True))

    def short(self, text: str) -> str:
        """Any text that names files, with their folders left out."""
        for top in self._tops:
            text = text.replace(top, "")
        return text

    def at(self, where: Where) -> str:
        """One place."""
        return self.short(str(where))

    def claim(self, claim: Claim[T]) -> str:
        """`slot data bus width, dmi.txt:12`."""
        return f"{claim.basis}, {self.at(claim.where)}"

    def told(self, fact: Fact[T]) -> Sourced[T] | None:
        """What is believed of a fact, with what was said against it; None if nobody says."""
        if not fact.claims:
            return None
        chosen = fact.claims[0]
        text = self.claim(chosen)
        for other in fact.against:
            text += f"; not {other.value} ({self.claim(other)})"
        return Sourced(chosen.value, text + (f": {fact.why}" if fact.against and fact.why else ""))


LONGEST_TEXT = 120
LONGEST_ID = 40

# Control and format characters, surrogates, private use, unassigned, line and paragraph separators:
# more than YAML 1.2.2 (5.1) forbids, so that no name can turn or hide a line.
_UNSEEN = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))
_NOT_IN_IDS = re.compile(r"[^a-z0-9_.]+")
_NOT_A_NAME = re.compile(
    r"^(?:|default string|to be filled by o\.?e\.?m\.?|not specified|not applicable|none|n/?a|"
    r"unknown|system (?:product name|manufacturer|version)|type1.*|x+|0+|<.*>|[\W_]+)$"
)


def clean(text: object, longest: int = LONGEST_TEXT) -> str:
    """
    One line that any file may hold; what cannot be shown becomes a space.

    >>> clean("  SLOT\\x00 1\\n\\u202e "), clean("a" * 9, longest=5)
    ('SLOT 1', 'aaaa…')
    """
    shown = "".join(" " if unicodedata.category(c) in _UNSEEN else c for c in str(text)[:4000])
    line = " ".join(shown.split())
    return line if len(line) <= longest else line[: longest - 1].rstrip() + "…"


def said(text: str | None) -> str | None:
    """
    The text, cleaned; None if it is one of the fillers that makers leave in their tables.

    >>> said("To Be Filled By O.E.M."), said(" X-100 ")
    (None, 'X-100')
    """
    shown = clean(text or "")
    return None if _NOT_A_NAME.match(shown.lower()) else shown


def slug(text: str, otherwise: str, longest: int = LONGEST_ID) -> str:
    """
    An id after a name; `otherwise` where nothing of the name can be used.

    >>> slug("CPU1 SLOT2 (x8)", "slot"), slug("0000:01:00.0", "slot"), slug("(", "slot")
    ('cpu1-slot2-x8', 'slot-0000-01-00.0', 'slot')
    """
    plain = unicodedata.normalize("NFKD", clean(text)).encode("ascii", "ignore").decode().lower()
    name = _NOT_IN_IDS.sub("-", plain).strip("-._")
    if name and not name[0].isalpha():
        name = f"{otherwise}-{name}"
    return name[:longest].strip("-._") or otherwise


class Ids:
    """Hands out each id once."""

    def __init__(self, taken: tuple[str, ...] = ()) -> None:
        self._taken = set(taken)

    def new(self, wanted: str) -> str:
        """The id wanted, or the next that is free: `slot1`, `slot1-2`, `slot1-3`."""
        name, number = wanted, 1
        while name in self._taken:
            number += 1
            name = f"{wanted}-{number}"
        self._taken.add(name)
        return name

    def numbered(self, stem: str) -> str:
        """`nic-1`, `nic-2`, ..."""
        number = 1
        while f"{stem}-{number}" in self._taken:
            number += 1
        return self.new(f"{stem}-{number}")


WIDTH = 100
Scalar = str | int | float | bool | None
Flow = Scalar | Sequence["Flow"] | Mapping[str, "Flow"]


@dataclass(frozen=True, slots=True)
class YamlComment:
    """A comment of one paragraph; empty for a blank line."""

    text: str = ""


@dataclass(frozen=True, slots=True)
class YamlField:
    """One key with its value, and where the value comes from."""

    key: str
    value: Flow | YamlList | YamlBlock
    remark: str = ""


@dataclass(frozen=True, slots=True)
class YamlBlock:
    """A mapping, key by key."""

    entries: tuple[YamlField | YamlComment, ...]
    aside: bool = False
    """Written as a comment, ready to be taken in."""


@dataclass(frozen=True, slots=True)
class YamlList:
    """A list of mappings, with remarks between them."""

    items: tuple[YamlBlock | YamlComment, ...]


def yaml_text(block: YamlBlock) -> str:
    """The file."""
    return joined(_block(block, ""))


def _block(block: YamlBlock, indent: str) -> Iterator[str]:
    for entry in block.entries:
        yield from (
            _remark(entry.text, indent) if isinstance(entry, YamlComment) else _field(entry, indent)
        )


def _field(field: YamlField, indent: str) -> Iterator[str]:
    head = f"{indent}{flow(field.key)}:"
    match field.value:
        case YamlBlock():
            yield from _said_above(field.remark, indent)
            yield head
            yield from _block(field.value, indent + "  ")
        case YamlList(items=items):
            yield from _said_above(field.remark, indent)
            empty = not any(isinstance(item, YamlBlock) and not item.aside for item in items)
            yield f"{head} []" if empty else head
            for item in items:
                yield from _item(item, indent + "  ")
        case value:
            yield from _beside(f"{head} {flow(value)}", field.remark, indent)


def _item(item: YamlBlock | YamlComment, indent: str) -> Iterator[str]:
    """One mapping of a list: its first line starts with a dash."""
    if isinstance(item, YamlComment):
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
    A value on one line, its texts cleaned.

    >>> flow({"id": "cpu0", "lanes": [4, 4], "label": "a:\\x00 b"})
    '{id: cpu0, lanes: [4, 4], label: "a: b"}'
    """
    return flow_text(cleaned(value))


def cleaned(value: Flow) -> Flow:
    match value:
        case str():
            return clean(value, longest=2000)
        case Mapping():
            return {clean(key, longest=2000): cleaned(inner) for key, inner in value.items()}
        case Sequence():
            return [cleaned(inner) for inner in value]
        case float():
            return int(value) if value.is_integer() else value
        case _:
            return value
