"""Every description of a catalog, read: for lists and for lint."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import get_args

from slotfit.catalog.entry import Entry, Listed, Wanted, entry_of
from slotfit.catalog.lint.file import report_on
from slotfit.catalog.lint.remark import Report
from slotfit.errors import InputError, Mistake
from slotfit.load.catalog import Catalog, files_of, kind_of
from slotfit.load.file_text import shown
from slotfit.load.hints import known_names
from slotfit.load.kinds import file_named, model_named
from slotfit.model.words import Form, PartClass
from slotfit.natural_order import natural

LISTED = ("board", "part", "chassis", "power-supply")


def entries(catalog: Catalog, wanted: Wanted) -> tuple[list[Entry], list[str]]:
    """
    What is wanted, by id, and one line for each file that cannot be listed.

    Files of another kind are not parsed. Raises InputError for a word that nothing can be called.
    """
    check_words(wanted)
    found, faults = [], []
    for name, path in sorted(catalog.paths.items(), key=lambda pair: natural(pair[0])):
        kind = kind_of(path)
        if kind not in LISTED or wanted.kind not in (None, kind):
            continue
        outcome = catalog.look_up(name, model_named(kind))
        if outcome.mistakes or not isinstance(outcome.entity, Listed):
            faults.append(f"{shown(path)}: not listed; see slotfit catalog lint {name}")
        elif wanted.fits(entry := entry_of(outcome.entity, shown(path))):
            found.append(entry)
    return found, faults


def check_words(wanted: Wanted) -> None:
    """Every word of a closed vocabulary is one of it."""
    words: tuple[tuple[str, str | None, tuple[str, ...]], ...] = (
        ("--kind", wanted.kind, LISTED),
        ("--class", wanted.part_class, get_args(PartClass)),
        ("--plug", wanted.plug, get_args(Form)),
        ("--takes", wanted.takes, get_args(Form)),
    )
    wrong = [
        Mistake(option, "", f"there is no {said}{known_names(said, known)}")
        for option, said, known in words
        if said is not None and said not in known
    ]
    if wrong:
        raise InputError(wrong)


def reports(catalog: Catalog, named: Sequence[str]) -> list[Report]:
    """
    Lint of ids, files and folders; of everything in the catalog for none, or for `all`.

    Raises InputError for what is not there; what is wrong inside a file is in its report.
    """
    return [report_on(path, catalog) for path in files_named(catalog, named)]


def files_named(catalog: Catalog, named: Sequence[str]) -> list[Path]:
    if not named or "all" in named:
        return [path for _, path in sorted(catalog.paths.items())]
    return list(dict.fromkeys(path for one in named for path in files_for(catalog, one)))


def files_for(catalog: Catalog, one: str) -> Iterator[Path]:
    """An id, a file, or all descriptions in a folder."""
    folder = Path(one)
    if not folder.is_dir():
        path = file_named(catalog, one)
        if not path.exists():
            raise InputError([Mistake(one, "", "there is no such file")])
        yield path
        return
    found = files_of(folder)
    if not found:
        raise InputError([Mistake(one, "", "no description (.yaml) in this folder")])
    yield from map(Path, found)
