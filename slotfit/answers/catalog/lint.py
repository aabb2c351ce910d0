"""Everything there is to say of one file."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from pathlib import Path
from typing import Any

from slotfit.answers.catalog.gaps import Remark, Report, file_gaps, of_mistake
from slotfit.answers.catalog.plausible import implausible, implausible_board
from slotfit.errors import InputError, Mistake
from slotfit.load.build_file import problem_of
from slotfit.load.catalog import Catalog, kind_of, model_named
from slotfit.load.entities import describe, read_whole
from slotfit.load.findings import keys_of, place_of
from slotfit.load.yaml_file import Written, read_yaml, span_at
from slotfit.load.yaml_text import shown
from slotfit.model.board import Board
from slotfit.model.build import Build
from slotfit.model.entity import Entity
from slotfit.model.part import PartSpec
from slotfit.standards.source import TRUSTS, Trust, trust_of

WORDS = frozenset({"kind", "id", "name", "class", "about", "mind", "invented", "sources", "price"})
"""Keys that hold words, or figures that are the owner's own."""

SHORT_FORM = re.compile(r"x\d|\dx")
"""`cem x8`, `4x4`: a text with a figure in it."""

LISTS = ("receptacles", "lane_groups", "hubs", "processors", "rows")
"""Keys of a board whose parts may have a source each, by their id."""


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
    if not isinstance(found, dict) or found.get("invented") is True or "machines" in found:
        return
    sources = found.get("sources")
    named = (
        {key for key in sources if is_filled(sources[key])} if isinstance(sources, dict) else set()
    )
    for key, value in found.items():
        if key not in keys or key in WORDS or key in named or not holds_a_figure(value):
            continue
        missing = list(parts_without(key, value, named))
        if missing:
            text = f"no source for {', '.join(missing)}; add it under `sources`"
            yield Remark("unsourced", written.spans[key,], key, text)
    yield from idle(written, sources if isinstance(sources, dict) else ())


def resting(written: Written, keys: Collection[str]) -> dict[Trust, tuple[str, ...]]:
    """What each figure rests on; nothing of a build, whose figures are wishes."""
    found = written.root
    if not isinstance(found, dict) or "machines" in found:
        return {}
    sources = found.get("sources")
    said: dict[str, Any] = sources if isinstance(sources, dict) else {}
    names: dict[str, Trust] = {}
    for key, value in found.items():
        if key in keys and key not in WORDS and holds_a_figure(value):
            parts = [key] if key in said else [*parts_of(key, value)]
            names |= {name: trust_of(str(said.get(name, ""))) for name in parts}
    if found.get("invented") is True:  # says of itself that no figure rests on anything
        names = {name: trust for name, trust in names.items() if trust != "none"}
    return {
        trust: tuple(name for name, its in names.items() if its == trust)
        for trust in TRUSTS
        if trust in names.values()
    }


def is_filled(text: Any) -> bool:
    """Whether a source says something, and is not the starting file's `page ...`."""
    return bool(text) and "..." not in str(text)


def parts_without(key: str, value: Any, named: set[str]) -> Iterator[str]:
    """The key itself, or the parts of a board's list that no source names."""
    return (f"`{name}`" for name in parts_of(key, value) if name == key or name not in named)


def parts_of(key: str, value: Any) -> Iterator[str]:
    """The key itself, or the parts with a figure of a board's list, by their ids."""
    if key not in LISTS or not isinstance(value, tuple):
        yield key
        return
    for part in value:
        if holds_a_figure(part):
            yield str(part.get("id") if isinstance(part, dict) else None)


def idle(written: Written, named: Iterable[str]) -> Iterator[Remark]:
    """Sources that speak of nothing in the file."""
    known = set(all_names(written.root))
    for name in named:
        if name not in known:
            where = written.spans["sources", name]
            text = f"nothing here is called `{name}`; write a key or an id"
            yield Remark("unsourced", where, f"sources.{name}", text)


def all_names(value: Any) -> Iterator[str]:
    """Every key and every id in a file."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key != "sources":
                yield key
                yield from all_names(inner)
        if isinstance(name := value.get("id"), str):
            yield name
    elif isinstance(value, tuple):
        for inner in value:
            yield from all_names(inner)


def report_on(path: Path, catalog: Catalog) -> Report:
    """Reads a file and looks at it; mistakes in it are remarks, never raised."""
    kind = kind_of(path)
    try:
        written = read_yaml(path)
    except InputError as error:
        return Report(shown(path), kind, path.stem, tuple(map(of_mistake, error.mistakes)))
    try:
        model = model_named(kind)
    except ValueError as error:
        wrong = Mistake(span_at(written, ("kind",)), "kind", str(error))
        return Report(written.file, kind, path.stem, (of_mistake(wrong),))
    remarks = [*faults(written, model, path, catalog), *unsourced(written, keys_of(model))]
    entity = as_written(model, written)
    if entity is not None:
        remarks += looked_at(entity, written.file)
    name = getattr(entity, "id", path.stem)
    rests_on = resting(written, keys_of(model))
    return Report(written.file, kind, name, ordered(remarks), rests_on)


def as_written(model: type[Entity], written: Written) -> Entity | None:
    """A board with its short forms as they stand, a part with what follows from its links."""
    return (read_whole if model is PartSpec else describe)(model, written).entity


def ordered(remarks: list[Remark]) -> tuple[Remark, ...]:
    return tuple(sorted(dict.fromkeys(remarks), key=lambda one: place_of(as_mistake(one))))


def as_mistake(remark: Remark) -> Mistake:
    return Mistake(remark.where, remark.path, remark.text)


def faults(written: Written, model: type[Entity], path: Path, catalog: Catalog) -> Iterator[Remark]:
    """What the loader refuses, the file's own writing and its name included."""
    if issubclass(model, Build):
        try:
            problem_of(written, catalog, path.parent)
        except InputError as error:
            yield from map(of_mistake, error.mistakes)
        return
    yield from map(of_mistake, (*written.mistakes, *read_whole(model, written).mistakes))
    entity = describe(model, written).entity
    name = getattr(entity, "id", path.stem)
    if path in catalog.paths.values() and name != path.stem:
        text = f"the file is called {path.stem}; file name and id must agree"
        yield of_mistake(Mistake(span_at(written, ("id",)), "id", text))


def looked_at(entity: Entity, file: str) -> Iterator[Remark]:
    """Unlikely figures, and what is not known yet."""
    if isinstance(entity, PartSpec):
        yield from implausible(entity, file)
    if isinstance(entity, Board):
        yield from implausible_board(entity, file)
    yield from file_gaps(entity, file)
