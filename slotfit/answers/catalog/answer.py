"""The answers to `slotfit catalog`: what is described, one description, what lint says of files."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, get_args

from slotfit.answers.catalog.gaps import Report
from slotfit.answers.catalog.lint import report_on
from slotfit.errors import InputError, Mistake
from slotfit.listing import natural
from slotfit.load.catalog import Catalog, described_in, file_named, files_of, kind_of, model_named
from slotfit.load.words import known_names
from slotfit.load.yaml_text import shown
from slotfit.model.board import Board
from slotfit.model.entity import Entity
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec, ReceptacleSpec
from slotfit.model.words import Form, PartClass
from slotfit.standards.forms import WITHOUT_LANES

SCHEMA_VERSION = 1
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""

Listed = PartSpec | Board | Chassis | PowerSupply


@dataclass(frozen=True, slots=True)
class CatalogEntry:
    """What a list says of one description; None and empty where that has no meaning or is not said.

    `lanes` and `generation` are sets because a board has many.
    """

    id: str
    kind: str
    name: str
    file: str
    part_class: str | None = None
    plug: str | None = None
    lanes: tuple[int, ...] = ()
    generation: tuple[int, ...] = ()
    ports: int | None = None
    takes: Mapping[str, int] = field(default_factory=dict)
    """Form of receptacle -> how many it has."""
    draw_w: float | None = None
    invented: bool = False
    about: str = ""


@dataclass(frozen=True, slots=True)
class CatalogQuery:
    """What to look for; None and empty look for nothing."""

    kind: str | None = None
    """Kind of file, or class of part."""
    plug: str | None = None
    takes: str | None = None
    lanes: int | None = None
    generation: int | None = None
    ports: int | None = None
    words: tuple[str, ...] = ()
    """All of them begin a word in id, name, class or about."""

    @property
    def of_file(self) -> str | None:
        """The kind of file to look in; classes are of parts."""
        return self.kind if self.kind is None or self.kind in LISTED else "part"

    @property
    def is_empty(self) -> bool:
        """Whether everything is looked for."""
        return self == CatalogQuery()

    def fits(self, entry: CatalogEntry) -> bool:
        """Whether the entry has everything that is wanted."""
        told = " ".join((entry.id, entry.name, entry.part_class or entry.kind, entry.about))
        return (
            self.kind in (None, entry.kind, entry.part_class)
            and self.plug in (None, entry.plug)
            and (self.takes is None or self.takes in entry.takes)
            and (self.lanes is None or self.lanes in entry.lanes)
            and (self.generation is None or self.generation in entry.generation)
            and self.ports in (None, entry.ports)
            and all(re.search(rf"\b{re.escape(word)}", told, re.IGNORECASE) for word in self.words)
        )


def entry_of(entity: Listed, file: str) -> CatalogEntry:
    """The line of a description as the loader gives it."""
    facts: dict[str, Any] = {}
    match entity:
        case PartSpec():
            facts = part_facts(entity)
        case Board():
            facts = board_facts(entity)
    return CatalogEntry(
        id=entity.id,
        kind=entity.kind,
        name=entity.name or entity.id,
        file=file,
        invented=entity.invented,
        about=entity.about or "",
        **facts,
    )


def part_facts(part: PartSpec) -> dict[str, Any]:
    """What a part is searched by; its lanes are those of all links of its plug together."""
    rated = {link.generation or part.generation for link in part.links} - {None}
    lanes = sum(link.lanes for link in part.links)
    return {
        "part_class": part.part_class,
        "plug": part.plug.form,
        "lanes": (lanes,) if lanes else (),
        "generation": tuple(sorted(rated)),
        "ports": ports_of(part),
        "takes": takes(part.receptacles),
        "draw_w": part.draw_w if part.power else None,
    }


def ports_of(part: PartSpec) -> int | None:
    """
    Ports as the trade counts them: as said, else one a lane of SAS, SATA or USB that it makes.

    Two connectors of four SAS lanes each are eight ports.
    """
    if part.ports is not None:
        return len(part.ports) if isinstance(part.ports, tuple) else part.ports
    made = [one for one in part.receptacles if one.bus in ("sas", "sata", "usb")]
    if part.wiring == "passive" or not made:
        return None
    return sum(one.lanes or 1 for one in made)


def takes(receptacles: Iterable[ReceptacleSpec]) -> dict[str, int]:
    """Form -> receptacles of it, places for air movers and bare openings left out."""
    forms = (one.form for one in receptacles if one.form not in WITHOUT_LANES)
    return dict(Counter(forms))


def board_facts(board: Board) -> dict[str, Any]:
    """What a board is searched by: what any of its receptacles gets."""
    ways = [way for group in board.lane_groups for way in group.arrangements]
    totals = {
        sum(width for width in given if isinstance(width, int))
        for way in ways
        for given in way.gives.values()
    }
    rated = {group.generation for group in board.lane_groups if group.bus == "pcie"} - {None}
    return {
        "lanes": tuple(sorted(totals - {0})),
        "generation": tuple(sorted(rated)),
        "takes": takes(board.receptacles),
    }


LISTED = ("board", "part", "chassis", "power-supply")


@dataclass(frozen=True, slots=True)
class ListAnswer:
    """What a list has."""

    schema_version: int
    entries: tuple[CatalogEntry, ...]
    """By id."""
    not_listed: tuple[str, ...]
    """One line for each file that cannot be listed."""


def catalog_listed(catalog: Catalog, query: CatalogQuery) -> ListAnswer:
    """
    What is wanted; files of another kind are not parsed.

    Raises InputError for a word that nothing can be called.
    """
    check_words(query)
    found: list[CatalogEntry] = []
    faults: list[str] = []
    for name, path in sorted(catalog.paths.items(), key=lambda pair: natural(pair[0])):
        kind = kind_of(path)
        if kind not in LISTED or query.of_file not in (None, kind):
            continue
        outcome = catalog.look_up(name, model_named(kind))
        if outcome.mistakes or not isinstance(outcome.entity, Listed):
            faults.append(f"{shown(path)}: not listed; see slotfit catalog lint {name}")
        elif query.fits(entry := entry_of(outcome.entity, shown(path))):
            found.append(entry)
    return ListAnswer(SCHEMA_VERSION, tuple(found), tuple(faults))


def check_words(query: CatalogQuery) -> None:
    """Every word of a closed vocabulary is one of it."""
    words: tuple[tuple[str, str | None, tuple[str, ...]], ...] = (
        ("KIND", query.kind, (*LISTED, *get_args(PartClass))),
        ("--plug", query.plug, get_args(Form)),
        ("--takes", query.takes, get_args(Form)),
    )
    wrong = [
        Mistake(option, "", f"there is no {said}{known_names(said, known)}")
        for option, said, known in words
        if said is not None and said not in known
    ]
    if wrong:
        raise InputError(wrong)


@dataclass(frozen=True, slots=True)
class ShowAnswer:
    """One description."""

    schema_version: int
    file: str
    described: Mapping[str, Any]
    """Everything that is said or follows, by the file's own keys, short forms spelled out."""


def description(catalog: Catalog, name: str) -> tuple[Path, Entity]:
    """What a thing's description holds, and its file. Raises InputError for a build and futures."""
    path, kind, entity = described_in(catalog, name)
    if kind in ("build", "futures"):
        said = "a build" if kind == "build" else kind
        text = f"describes {said}; name a board, a part, a chassis or a power supply"
        raise InputError([Mistake(name, "", text)])
    return path, entity


def catalog_shown(catalog: Catalog, name: str) -> ShowAnswer:
    """One description, by its id or its file. Raises InputError."""
    path, entity = description(catalog, name)
    described = entity.model_dump(mode="json", by_alias=True, exclude_none=True)
    return ShowAnswer(SCHEMA_VERSION, str(path), described)


@dataclass(frozen=True, slots=True)
class LintAnswer:
    """What there is to say of some files."""

    schema_version: int
    files: tuple[Report, ...]

    @property
    def is_clean(self) -> bool:
        """Whether nothing is to be mended."""
        return all(one.is_clean for one in self.files)


def catalog_linted(catalog: Catalog, named: Sequence[str]) -> LintAnswer:
    """
    Lint of ids, files and folders; of everything in the catalog for none, or for `all`.

    Raises InputError for what is not there; what is wrong inside a file is in its report.
    """
    if not named or "all" in named:
        paths = [path for _, path in sorted(catalog.paths.items())]
    else:
        paths = list(dict.fromkeys(path for one in named for path in files_for(catalog, one)))
    return LintAnswer(SCHEMA_VERSION, tuple(report_on(path, catalog) for path in paths))


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
