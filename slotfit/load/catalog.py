"""Descriptions by name: the catalog that came along, the project's, the user's, and more."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from slotfit.catalog_root import catalog_root
from slotfit.errors import InputError, Mistake
from slotfit.load.board_checks import board_mistakes
from slotfit.load.entities import Described, Outcome, describe
from slotfit.load.expand import expand
from slotfit.load.file_text import shown
from slotfit.load.finish import finish
from slotfit.load.hints import close_to
from slotfit.load.part_checks import part_mistakes
from slotfit.load.written import Loc, Written, span_at, value_at
from slotfit.load.yaml_file import parse_yaml, read_yaml
from slotfit.model.board import Board
from slotfit.model.entity import Entity
from slotfit.model.part import Part
from slotfit.model.span import Span

ENDINGS = (".yaml", ".yml")

KIND_LINE = re.compile(rb"^kind:[ \t]*[\"']?([a-z-]+)", re.MULTILINE)
FIRST_BYTES = 4096
FOLDER_KINDS = {"boards": "board", "chassis": "chassis", "power": "power-supply"}
"""Folder -> kind, for files that leave `kind` out; all other folders hold parts."""


def read_whole(model: type[Described], written: Written, at: Loc = ()) -> Outcome[Described]:
    """An entity with everything that follows from it: short forms spelled out, names checked."""
    outcome: Outcome[Any] = describe(model, written, at)
    entity = outcome.entity
    if isinstance(entity, Part):
        outcome.entity = finish(entity)
        outcome.mistakes += part_mistakes(outcome.entity, written, outcome.lost)
    elif isinstance(entity, Board):
        outcome.mistakes += board_mistakes(entity, written, outcome.lost)
        outcome.entity = entity if outcome.mistakes else expand(entity)
    return outcome


def read_file(
    path: Path, model: type[Described], *, check_name: bool = False
) -> Outcome[Described]:
    """What a file describes; a file in a catalog must be called as its id."""
    try:
        written = read_yaml(path)
    except InputError as error:
        return Outcome(None, list(error.mistakes))
    outcome = read_whole(model, written)
    outcome.mistakes[:0] = written.mistakes
    name = value_at(written.root, ("id",))
    if check_name and isinstance(name, str) and name != path.stem:
        text = f"the file is called {path.stem}; file name and id must agree"
        outcome.mistakes.append(Mistake(span_at(written, ("id",)), "id", text))
    return outcome


def read_inline(text: str, model: type[Described], file: str) -> Described:
    """What a piece of YAML describes, `file` being its name in messages; raises InputError."""
    written = parse_yaml(text, file)
    outcome = read_whole(model, written)
    return settled(outcome, written.mistakes)


def settled(outcome: Outcome[Described], further: Iterable[Mistake] = ()) -> Described:
    """The entity if nothing is wrong; raises InputError with everything that is."""
    mistakes = [*further, *outcome.mistakes]
    if mistakes or outcome.entity is None:
        raise InputError(in_order(mistakes))
    return outcome.entity


def in_order(mistakes: Iterable[Mistake]) -> list[Mistake]:
    """Each once; file by file as they came up, and by line within a file."""
    once = list(dict.fromkeys(mistakes))
    files = list(dict.fromkeys(file_of(one) for one in once))
    return sorted(once, key=lambda one: (files.index(file_of(one)), place_of(one)))


def file_of(mistake: Mistake) -> str:
    return mistake.where.file if isinstance(mistake.where, Span) else mistake.where


def place_of(mistake: Mistake) -> tuple[int, int]:
    where = mistake.where
    return (where.line, where.column) if isinstance(where, Span) else (0, 0)


def is_path(reference: str) -> bool:
    """A reference with a slash or a file's ending is a path; anything else is a catalog id."""
    return "/" in reference or reference.endswith(ENDINGS)


@dataclass
class Catalog:
    """
    Descriptions by id: `<root>/<any folder>/<id>.yaml`, or `<root>/<id>.yaml`.

    A later root adds to the earlier ones and may override an id; `notices` says where. Files are
    read when they are asked for, each once.
    """

    roots: Sequence[Path]
    notices: list[str] = field(default_factory=list)
    read: dict[tuple[Path, type[Entity]], Outcome[Any]] = field(default_factory=dict)

    @cached_property
    def paths(self) -> dict[str, Path]:
        """Id -> file, from the folders' listings alone."""
        found: dict[str, Path] = {}
        for root in self.roots:
            for path in files_of(root):
                earlier = found.get(path.stem)
                if earlier is not None:
                    self.notices.append(
                        f"{path.stem}: {shown(path)} is used instead of {shown(earlier)}"
                    )
                found[path.stem] = path
        return found

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
        where: tuple[Span | str, str] | None = None,
    ) -> Outcome[Described]:
        """
        The same without raising.

        `where` is what to point at if there is no such thing: a place and the field's path.
        """
        if is_path(reference):
            path = (beside or Path()) / Path(reference).expanduser()
        elif reference in self.paths:
            path = self.paths[reference]
        else:
            text = f"nothing in the catalog is called {reference}{close_to(reference, self.paths)}"
            place, field_path = where or (reference, "")
            return Outcome(None, [Mistake(place, field_path, text)])
        return self.open(path, model, check_name=not is_path(reference))

    def open(
        self, path: Path, model: type[Described], *, check_name: bool = False
    ) -> Outcome[Described]:
        """What a file describes, read once."""
        key = (path.resolve(), model)
        if key not in self.read:
            self.read[key] = read_file(path, model, check_name=check_name)
        return self.read[key]

    def every(self, model: type[Described]) -> Iterator[Described]:
        """All entities of one kind, by id; raises InputError at the first file with mistakes."""
        kind = model.model_fields["kind"].default
        for name, path in sorted(self.paths.items()):
            if kind_of(path) == kind:
                yield self.load(name, model)


def files_of(root: Path) -> list[Path]:
    """Descriptions in a root and its folders, sorted."""
    found = [*root.glob("*"), *root.glob("*/*")]
    return sorted(path for path in found if path.suffix in ENDINGS and path.is_file())


def kind_of(path: Path) -> str:
    """What a file describes, from its `kind:` line or else its folder; the rest is not read."""
    found = KIND_LINE.search(path.read_bytes()[:FIRST_BYTES])
    if found:
        return found.group(1).decode("ascii", errors="replace")
    return FOLDER_KINDS.get(path.parent.name, "part")


def standard_catalog(extra: Iterable[Path] = ()) -> Catalog:
    """
    The catalog that came along, then the user's, then the project's, then `extra` folders.

    Raises InputError for an extra folder that is not there.
    """
    from platformdirs import user_data_path  # noqa: PLC0415  not needed to read one file

    extra = list(extra)
    absent = [
        Mistake(str(path), "", "there is no such folder") for path in extra if not path.is_dir()
    ]
    if absent:
        raise InputError(absent)
    usual = [
        catalog_root(),
        user_data_path("slotfit", appauthor=False) / "catalog",
        Path("catalog"),
    ]
    roots = {path.resolve(): path for path in usual if path.is_dir()}
    roots |= {path.resolve(): path for path in extra}
    return Catalog(tuple(roots.values()))
