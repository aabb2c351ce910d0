"""A shared catalog, added to those in use: what came in, and who hides whom."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from slotfit.answers.text_layout import heading, hung, joined
from slotfit.listing import counted, natural
from slotfit.load.catalog import Catalog, shared_root, standard_catalog, told
from slotfit.load.shared import shared_files, taken_in

SCHEMA_VERSION = 1
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class HiddenName:
    """An id that is described more than once."""

    id: str
    used: str
    """The file that counts."""
    hidden: tuple[str, ...]
    """The files that do not."""


@dataclass(frozen=True, slots=True)
class AddAnswer:
    """A catalog that was added."""

    schema_version: int
    """Raised when a field changes its meaning or goes away; new fields do not raise it."""
    id: str
    name: str
    licence: str
    folder: str
    """Where it lies now."""
    ids: tuple[str, ...]
    """What it describes."""
    order: tuple[str, ...]
    """Folders in use: of an id that several have, the last one's counts."""
    twice: tuple[HiddenName, ...]
    """Its ids that another folder has as well."""


def catalog_added(source: Path, replace: bool = False) -> AddAnswer:
    """
    Take in a catalog that somebody shares: a folder or a tar with a manifest.

    `replace`: in the stead of one of that id. Raises InputError with everything that is wrong with
    it; nothing has changed then.
    """
    manifest, files = shared_files(source)
    folder = taken_in(manifest, files, shared_root(), replace=replace)
    catalog = standard_catalog()
    ids = sorted(Catalog([folder]).paths, key=natural)
    found = {name: [told(Path(file)) for file in catalog.found[name]] for name in ids}
    twice = (HiddenName(n, files[-1], tuple(files[:-1])) for n, files in found.items() if files[1:])
    return AddAnswer(
        SCHEMA_VERSION,
        manifest.id,
        manifest.name or manifest.id,
        manifest.licence,
        str(folder),
        tuple(ids),
        tuple(map(str, catalog.roots)),
        tuple(twice),
    )


def add_text(answer: AddAnswer) -> str:
    """What was added, for a terminal."""
    return joined(add_lines(answer))


def add_lines(answer: AddAnswer) -> Iterator[str]:
    count = counted(len(answer.ids), "description")
    yield from hung("", f"{answer.name}: {count}, licence {answer.licence}, in {answer.folder}.")
    yield from heading("Folders in use (of an id that several have, the last one's counts)")
    for folder in answer.order:
        yield from hung("  ", str(folder))
    if answer.twice:
        yield from heading("Described more than once")
    for one in answer.twice:
        yield from hung("  - ", f"{one.id}: {one.used} is used, not {', '.join(one.hidden)}")
