"""The catalog for a terminal, as a list."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import get_args

from slotfit.catalog.entry import Entry
from slotfit.model.words import PartClass
from slotfit.render.text_layout import heading, hung

GROUPS = ("board", *get_args(PartClass), "chassis", "power-supply")
"""Headings of a list, in order."""


def list_text(entries: Sequence[Entry]) -> str:
    """Ids and names below the kind or class they belong to."""
    return "\n".join(line.rstrip() for line in list_lines(entries)) + "\n"


def list_lines(entries: Sequence[Entry]) -> Iterator[str]:
    if not entries:
        yield "Nothing in the catalog is like that. A word has to begin a word of an id, a name, a"
        yield "class or a description; `slotfit catalog list` shows everything."
        return
    wide = max(len(entry.id) for entry in entries)
    for group in GROUPS:
        here = [entry for entry in entries if group_of(entry) == group]
        if here:
            yield from heading(f"{group} ({len(here)})")
            for entry in here:
                yield from hung(f"  {entry.id:<{wide}}  ", entry.name)
    yield from heading("Show one: slotfit catalog show ID")


def group_of(entry: Entry) -> str:
    """A part's class, else the kind of file."""
    return entry.part_class or entry.kind
