"""Figures that do not say where they come from."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from typing import Any

from slotfit.catalog.lint.remark import Remark
from slotfit.load.written import Map, Written

WORDS = frozenset({"kind", "id", "name", "class", "about", "invented", "sources", "price"})
"""Keys that hold words, or figures that are the owner's own."""

SHORT_FORM = re.compile(r"x\d|\dx")
"""`cem x8`, `4x4`: a text with a figure in it."""

LISTS = ("receptacles", "lane_groups", "hubs", "processors", "rows")
"""Keys of a board whose items may have a source each, by their id."""


def holds_a_figure(value: Any) -> bool:
    """A number, or a short form with one in it."""
    match value:
        case bool():
            return False
        case int() | float():
            return True
        case str():
            return bool(SHORT_FORM.search(value))
        case dict():
            return any(holds_a_figure(inner) for key, inner in value.items() if key not in WORDS)
        case tuple() | list():
            return any(holds_a_figure(inner) for inner in value)
    return False


def unsourced(written: Written, keys: Collection[str]) -> Iterator[Remark]:
    """
    Keys with a figure and without a source; `keys` are those that may stand there at all.

    Nothing of a build, whose figures are wishes, or of what says that it is invented.
    """
    found = written.root
    if not isinstance(found, Map) or found.get("invented") is True or "machines" in found:
        return
    sources = found.get("sources")
    named = (
        {key for key in sources if is_filled(sources[key])} if isinstance(sources, Map) else set()
    )
    for key, value in found.items():
        if key not in keys or key in WORDS or key in named or not holds_a_figure(value):
            continue
        missing = list(items_without(key, value, named))
        if missing:
            text = f"no source for {', '.join(missing)}; add it under `sources`"
            yield Remark("unsourced", found.spans[key], key, text)
    yield from idle(found, sources if isinstance(sources, Map) else ())


def is_filled(text: Any) -> bool:
    """Whether a source says something, and is not the starting file's `page ...`."""
    return bool(text) and "..." not in str(text)


def items_without(key: str, value: Any, named: set[str]) -> Iterator[str]:
    """The key itself, or the items of a board's list that no source names."""
    if key not in LISTS or not isinstance(value, tuple):
        yield f"`{key}`"
        return
    for item in value:
        name = item.get("id") if isinstance(item, Map) else None
        if name not in named and holds_a_figure(item):
            yield f"`{name}`"


def idle(found: Map, named: Iterable[str]) -> Iterator[Remark]:
    """Sources that speak of nothing in the file."""
    known = set(all_names(found))
    for name in named:
        if name not in known:
            where = found["sources"].spans[name]
            text = f"nothing here is called `{name}`; write a key or an id"
            yield Remark("unsourced", where, f"sources.{name}", text)


def all_names(value: Any) -> Iterator[str]:
    """Every key and every id in a file."""
    if isinstance(value, Map):
        for key, inner in value.items():
            if key != "sources":
                yield key
                yield from all_names(inner)
        if isinstance(name := value.get("id"), str):
            yield name
    elif isinstance(value, tuple):
        for inner in value:
            yield from all_names(inner)
