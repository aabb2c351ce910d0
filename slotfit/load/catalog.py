"""Descriptions by name: the catalog that came along, the user's, the project's, and more."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

from slotfit.catalog_root import catalog_root
from slotfit.errors import SHOWN, Mistake
from slotfit.load.entities import Described, Outcome
from slotfit.load.file_text import shown
from slotfit.load.hints import close_or_search, quote
from slotfit.load.report import error_of
from slotfit.load.whole import kind_named, read_file, read_inline, settled
from slotfit.model.entity import Entity
from slotfit.model.span import Span

ENDINGS = (".yaml", ".yml")

KIND_LINE = re.compile(
    rb"""^(?:kind|\{?[ \t]*["']kind["'])[ \t]*:[ \t]*["']?([a-z-]+)""", re.MULTILINE
)
"""At the left edge, or as JSON writes it."""
FIRST_BYTES = 4096
FOLDER_KINDS = {"boards": "board", "chassis": "chassis", "power": "power-supply"}
"""Folder -> kind, for files that leave `kind` out; all other folders hold parts."""

Where = tuple[Span | str, str]
"""What to point at: a place, and the path of the field there."""


def is_path(reference: str) -> bool:
    """A reference with a slash or a file's ending is a path; anything else is a catalog id."""
    return "/" in reference or reference.endswith(ENDINGS)


class Catalog:
    """
    Descriptions by id: `<root>/<any folder>/<id>.yaml`, or `<root>/<id>.yaml`.

    A later root adds to the earlier ones and may override an id. Finding an id reads folder
    listings only; files are read when they are asked for, each once.
    """

    def __init__(self, roots: Sequence[Path]) -> None:
        self.roots = roots
        self.opened: dict[tuple[Path, type[Entity]], Outcome[Any]] = {}

    @cached_property
    def found(self) -> dict[str, list[str]]:
        """Id -> every file of that name, the one that counts last."""
        files: dict[str, list[str]] = {}
        for root in self.roots:
            for file in files_of(root):
                name, _ = os.path.splitext(os.path.basename(file))  # noqa: PTH119, PTH122  quicker
                files.setdefault(name, []).append(file)
        return files

    @cached_property
    def paths(self) -> dict[str, Path]:
        """Id -> the file that counts."""
        return {name: Path(files[-1]) for name, files in self.found.items()}

    def path(self, name: str) -> Path:
        """The file that counts for an id that is there; the others' paths are not made."""
        return Path(self.found[name][-1])

    @property
    def notices(self) -> list[str]:
        """One line for each id that is described more than once."""
        return [
            f"{name}: {shown(Path(files[-1]))} is used, not {shown(Path(earlier))}"
            for name, files in self.found.items()
            for earlier in files[:-1]
        ]

    def load(self, reference: str, model: type[Described], beside: Path | None = None) -> Described:
        """
        The entity an id or a path names; `beside` is the folder paths are relative to.

        Raises InputError with every mistake in its file.
        """
        return settled(self.look_up(reference, model, beside))

    def given(self, argument: str, model: type[Described], name: str) -> Described:
        """
        What an argument on the command line stands for: an id, a path, or YAML in braces.

        `name` is what messages call YAML that is no file. Raises InputError.
        """
        if argument.lstrip().startswith("{") or "\n" in argument:
            return read_inline(argument, model, name)
        return self.load(argument, model)

    def look_up(
        self,
        reference: str,
        model: type[Described],
        beside: Path | None = None,
        where: Where | None = None,
    ) -> Outcome[Described]:
        """The same without raising; `where` is what to point at if there is no such thing."""
        if is_path(reference):
            outcome = self.open((beside or Path()) / reference, model)
        elif reference in self.found:
            outcome = self.open(self.path(reference), model, check_name=True)
        else:
            text = f"nothing in the catalog is called {quote(reference)}"
            place, path = where or (quote(reference), "")
            return Outcome(
                None, [Mistake(place, path, text + close_or_search(reference, self.found))]
            )
        return pointed(outcome, where) if where else outcome

    def open(
        self, path: Path, model: type[Described], *, check_name: bool = False
    ) -> Outcome[Described]:
        """What a file describes, read once."""
        key = (path.absolute(), model)
        if key not in self.opened:
            self.opened[key] = read_file(path, model, check_name=check_name)
        return self.opened[key]

    def ids(self, model: type[Entity]) -> list[str]:
        """Ids of one kind, sorted; files are looked at, not parsed."""
        kind = kind_named(model)
        return sorted(name for name, its_kind in self.kinds.items() if its_kind == kind)

    @cached_property
    def kinds(self) -> dict[str, str]:
        """Id -> what the file says it describes."""
        return {name: kind_of(path) for name, path in self.paths.items()}

    def every(self, model: type[Described]) -> Iterator[Outcome[Described]]:
        """What each file of one kind describes, by id, with its mistakes."""
        for name in self.ids(model):
            yield self.look_up(name, model)


def pointed(outcome: Outcome[Described], where: Where) -> Outcome[Described]:
    """A file not read at all, or of another kind, is a mistake of the place that names it."""
    place, path = where
    mistakes = [
        one
        if isinstance(one.where, Span) and one.path != "kind"
        else Mistake(place, path, f"{file_of(one.where)}: {one.text}")
        for one in outcome.mistakes
    ]
    return Outcome(outcome.entity, mistakes, outcome.lost)


def file_of(where: Span | str) -> str:
    """The file of a place in it."""
    return where.file if isinstance(where, Span) else where


def files_of(root: Path) -> list[str]:
    """Descriptions in a root and its folders, sorted."""
    folders, files = listing(root)
    for folder in folders:
        files += listing(folder)[1]
    return sorted(files)


def listing(folder: Path | str) -> tuple[list[str], list[str]]:
    """
    Folders and descriptions in a folder; none if it cannot be listed.

    Hidden ones are left out, names that a terminal would obey, and what is no file: a pipe or a
    device would never end.
    """
    folders: list[str] = []
    files: list[str] = []
    try:
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.name.startswith(".") or entry.name.translate(SHOWN) != entry.name:
                    continue
                if entry.name.endswith(ENDINGS) and entry.is_file():
                    files.append(entry.path)
                elif entry.is_dir():
                    folders.append(entry.path)
    except OSError:  # as with a folder that is not there: no description is found
        return [], []
    return folders, files


def kind_of(path: Path) -> str:
    """What a file describes, from its `kind:` line or else its folder; the rest is not read."""
    try:
        with path.open("rb") as stream:
            found = KIND_LINE.search(stream.read(FIRST_BYTES))
    except OSError:  # whoever opens it will say what is wrong
        found = None
    if found:
        return found.group(1).decode("ascii")
    return FOLDER_KINDS.get(path.parent.name, "part")


def standard_catalog(extra: Iterable[Path] = (), project: Path | None = None) -> Catalog:
    """
    The catalog that came along, the user's, the project's (`project/catalog`), then `extra`.

    The user's folder is where the platform keeps such data; `project` is by default the working
    folder. Raises InputError for an extra folder that is not there.
    """
    from platformdirs import user_data_path  # noqa: PLC0415  not needed to read one file

    added = list(extra)
    absent = [Mistake(str(one), "", "there is no such folder") for one in added if not one.is_dir()]
    if absent:
        raise error_of(absent)
    usual = (
        catalog_root(),
        user_data_path("slotfit", appauthor=False) / "catalog",
        (project or Path()) / "catalog",
    )
    roots = {path.resolve(): path for path in (*usual, *added) if path.is_dir()}
    return Catalog(tuple(roots))
