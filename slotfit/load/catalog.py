"""Descriptions by name: the catalog that came along, the user's, the project's, and more."""

from __future__ import annotations

import os
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cached_property
from pathlib import Path
from typing import Any

from platformdirs import user_data_path

from slotfit.errors import SHOWN, InputError, Mistake
from slotfit.files import catalog_root
from slotfit.listing import natural
from slotfit.load.entities import (
    KINDS,
    Described,
    Outcome,
    kind_named,
    read_file,
    read_inline,
    settled,
)
from slotfit.load.findings import error_of, file_of
from slotfit.load.words import close_or_search, close_to, listed, quote
from slotfit.load.yaml_text import read_bytes, shown
from slotfit.model.board import Board
from slotfit.model.build import Build, Futures
from slotfit.model.entity import Entity, Span
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec
from slotfit.standards.forms import FORMS, plug_fits

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
            place, path = where or (quote(reference), "")
            return Outcome(None, [Mistake(place, path, self.unknown(reference))])
        return pointed(outcome, where) if where else outcome

    def unknown(self, reference: str) -> str:
        """What to say of an id that is none."""
        hint = close_or_search(reference, self.found)
        return f"nothing in the catalog is called {quote(reference)}{hint}"

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
        else Mistake(place, path, f"{file_of(one)}: {one.text}")
        for one in outcome.mistakes
    ]
    return Outcome(outcome.entity, mistakes, outcome.lost)


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


def shared_root() -> Path:
    """The folder that has a folder for each catalog that was added."""
    return user_data_path("slotfit", appauthor=False) / "catalogs"


def standard_catalog(extra: Iterable[Path] = (), project: Path | None = None) -> Catalog:
    """
    What came along, what was added, the user's, the project's (`project/catalog`), then `extra`.

    The user's folder is where the platform keeps such data; `project` is by default the working
    folder. Raises InputError for an extra folder that is not there.
    """
    added = list(extra)
    absent = [Mistake(str(one), "", "there is no such folder") for one in added if not one.is_dir()]
    if absent:
        raise error_of(absent)
    usual = (
        catalog_root(),
        *map(Path, sorted(listing(shared_root())[0], key=natural)),
        user_data_path("slotfit", appauthor=False) / "catalog",
        (project or Path()) / "catalog",
    )
    roots = {path.resolve(): path for path in (*usual, *added) if path.is_dir()}
    return Catalog(tuple(roots))


CARRIER = re.compile(rb"^class:[ \t]*carrier\b", re.MULTILINE)
CLASS = re.compile(rb"^class:[ \t]*(carrier|adapter|riser)\b", re.MULTILINE)
FORM = re.compile(rb"""\bform["']?[ \t]*:[ \t]*["']?([a-z0-9-]+)""")
"""As YAML or JSON writes it."""


DRIVE_FORMS = ("m2-m", "m2-b", "u2", "u3", "u2-u3", "e1s", "e1l", "e3s", "e3l")
"""Sockets a drive goes into without a cable."""


def parts_with(catalog: Catalog, form: str, count: int) -> Iterator[PartSpec]:
    """Carriers, adapters and risers with at least `count` receptacles of a form, by id."""
    for part in sound_parts(
        catalog, lambda text: bool(CLASS.search(text)) and forms_in(text)[form] >= count
    ):
        own = [one for one in part.receptacles if one.form == form]
        if len(own) >= count and not part.extra_plugs:
            yield part


def carriers_for(catalog: Catalog, forms: Sequence[str]) -> Iterator[PartSpec]:
    """Carriers of drives by id; where drives are named, those with a socket for each."""
    for part in sound_parts(catalog, lambda text: bool(CARRIER.search(text))):
        sockets = [one.form for one in part.receptacles]
        takes_all = all(any(plug_fits(form, socket) for socket in sockets) for form in forms)
        if takes_all and not set(DRIVE_FORMS).isdisjoint(sockets):
            yield part


def sound_parts(catalog: Catalog, may_be: Callable[[bytes], bool]) -> Iterator[PartSpec]:
    """Parts by id; not those with mistakes, nor those that `may_be` rules out by their text."""
    for name, path in sorted(catalog.paths.items()):
        if may_be(text_in(path)):
            part = catalog.look_up(name, PartSpec)
            if part.entity is not None and not part.mistakes:
                yield part.entity


def text_in(path: Path) -> bytes:
    """What a file says, for a first look; nothing where it cannot be read."""
    try:
        return read_bytes(path, path.name)
    except InputError:  # no description: `catalog lint` says what is wrong with it
        return b""


def forms_in(text: bytes) -> Counter[str]:
    """How often a file's text names each form of receptacle: at least as often as it has one."""
    named = map(bytes.decode, FORM.findall(text))
    return Counter(form for form in named if form in FORMS)


MODELS: dict[str, type[Entity]] = {
    kind_named(model): model for model in (Board, PartSpec, Chassis, PowerSupply, Build, Futures)
}


def model_named(kind: str) -> type[Entity]:
    """The entity a kind stands for; ValueError for a word that is none."""
    if kind in MODELS:
        return MODELS[kind]
    raise ValueError(f"expected one of {listed(KINDS)}, not {quote(kind)}{close_to(kind, KINDS)}")


def told(path: Path) -> str:
    """How an answer names a description's file: those that came along by their place in there."""
    root = catalog_root()
    if path.is_relative_to(root):
        return f"{path.relative_to(root)} of slotfit's own catalog"
    return shown(path)


def file_named(catalog: Catalog, reference: str) -> Path:
    """The file that an id or a path stands for; InputError if nothing is called so."""
    if is_path(reference):
        return Path(reference)
    if reference in catalog.found:
        return catalog.path(reference)
    raise InputError([Mistake(quote(reference), "", catalog.unknown(reference))])


def described_in(catalog: Catalog, reference: str) -> tuple[Path, str, Entity]:
    """
    The file that an id or a path names, its kind, and what it describes.

    Raises InputError with every mistake in it.
    """
    path = file_named(catalog, reference)
    if not path.is_file():
        catalog.load(str(path), Entity)  # says why it cannot be read
    kind = kind_of(path)
    try:
        model = model_named(kind)
    except ValueError as error:
        raise InputError([Mistake(shown(path), "kind", str(error))]) from None
    return path, kind, catalog.load(reference, model)
