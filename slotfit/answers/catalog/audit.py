"""The catalog looked at as a whole: what its figures rest on, and what of it is of no use."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from slotfit.answers.catalog.gaps import Report
from slotfit.answers.catalog.lint import report_on
from slotfit.answers.catalog.starting_file import starting_text
from slotfit.answers.catalog.use import roomless, unused
from slotfit.answers.place.plan import best_plan
from slotfit.errors import InputError
from slotfit.listing import listed, natural
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog, model_named
from slotfit.model.board import Board
from slotfit.model.entity import Entity
from slotfit.model.part import PartSpec
from slotfit.model.spread import Spread, spreads
from slotfit.model.units import unit_named
from slotfit.solve.place import Progress, silent
from slotfit.standards.source import Trust

SCHEMA_VERSION = 1
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


KINDS = ("board", "part", "chassis", "power-supply")


@dataclass(frozen=True, slots=True)
class ClassCount:
    """What the figures of one class rest on."""

    of: str
    """Class of part, else the kind of thing."""
    things: int
    """How many there are."""
    invented: int
    """How many of them say of themselves that they are invented."""
    figures: Mapping[Trust, int]
    """What figures rest on -> how many do."""


@dataclass(frozen=True, slots=True)
class AuditFinding:
    """One thing of the catalog to look at."""

    thing: str
    """Its id; of a class its name, of two things `chassis with board`."""
    text: str
    """What is so, as a clause."""


@dataclass(frozen=True, slots=True)
class AuditAnswer:
    """What there is to say of a catalog as a whole."""

    schema_version: int
    """Raised when a field changes its meaning or goes away; new fields do not raise it."""
    classes: tuple[ClassCount, ...]
    """Boards, parts by class, chassis, supplies."""
    uncited: tuple[AuditFinding, ...] = ()
    """Figures that rest on nothing that is named."""
    out_of_spread: tuple[AuditFinding, ...] = ()
    """Figures outside what files of the same class call typical and worst."""
    unused: tuple[AuditFinding, ...] = ()
    """Parts that sit in no board of the catalog in any chassis of it."""
    unplaced: tuple[AuditFinding, ...] = ()
    """Boards whose build to begin with has no plan."""
    roomless: tuple[AuditFinding, ...] = ()
    """A chassis with a board of one of its sizes in which no card has room."""
    alone: tuple[AuditFinding, ...] = ()
    """Classes of which all parts are alike in the one thing that decides."""
    faulty: tuple[str, ...] = ()
    """Ids of files with mistakes; they are left out of all the above."""

    @property
    def is_clean(self) -> bool:
        """Whether nothing is to be looked at."""
        return not any(getattr(self, name) for name in FINDINGS) and not self.faulty


FINDINGS = ("uncited", "out_of_spread", "unused", "unplaced", "roomless", "alone")
"""The fields with findings."""


@dataclass(frozen=True)
class Things:
    """What a catalog describes, without files that have mistakes."""

    entities: dict[str, Any] = field(default_factory=dict)
    reports: dict[str, Report] = field(default_factory=dict)
    faulty: list[str] = field(default_factory=list)

    def of(self, kind: str) -> list[Any]:
        """The things of one kind, by id."""
        return [one for one in self.entities.values() if one.kind == kind]


def catalog_audited(catalog: Catalog, progress: Progress | None = None) -> AuditAnswer:
    """Everything there is to say of the catalog as a whole; mistakes in files are not raised."""
    progress = progress or silent
    things = looked_at(catalog, progress)
    parts, boards = things.of("part"), things.of("board")
    chassis = things.of("chassis")
    return AuditAnswer(
        SCHEMA_VERSION,
        tuple(counted(things)),
        uncited=tuple(uncited(things)),
        out_of_spread=tuple(out_of_spread(parts)),
        unused=tuple(
            AuditFinding(name, "sits in no board of the catalog, in no chassis of it")
            for name in unused(catalog, parts, boards, chassis, progress)
        ),
        unplaced=tuple(unplaced(catalog, boards, progress)),
        roomless=tuple(
            AuditFinding(
                f"{case} with {board}", "no card of the catalog goes into any of its slots"
            )
            for case, board in roomless(catalog, parts, boards, chassis, progress)
        ),
        alone=tuple(alone(parts)),
        faulty=tuple(things.faulty),
    )


def looked_at(catalog: Catalog, progress: Progress) -> Things:
    """Every file read, and linted."""
    things = Things()
    names = sorted(catalog.paths, key=natural)
    for number, name in enumerate(names):
        progress("reading", number, len(names))
        if catalog.kinds[name] not in KINDS:
            continue
        outcome = catalog.look_up(name, model_named(catalog.kinds[name]))
        if outcome.mistakes or outcome.entity is None:
            things.faulty.append(name)
            continue
        things.entities[name] = outcome.entity
        things.reports[name] = report_on(Path(catalog.paths[name]), catalog)
    return things


def class_of(thing: Any) -> str:
    """Class of a part, else the kind of thing."""
    return str(getattr(thing, "part_class", thing.kind))


def counted(things: Things) -> Iterator[ClassCount]:
    """Class by class, what figures rest on."""
    by_class: defaultdict[str, list[Any]] = defaultdict(list)
    for kind in KINDS:
        for one in things.of(kind):
            by_class[class_of(one)].append(one)
    for name, members in by_class.items():
        figures = Counter[Trust]()
        for one in members:
            rests = things.reports[one.id].rests_on
            figures.update({trust: len(keys) for trust, keys in rests.items()})
        yield ClassCount(name, len(members), sum(one.invented for one in members), dict(figures))


def uncited(things: Things) -> Iterator[AuditFinding]:
    """Things with figures that rest on nothing; one finding a thing."""
    for name, report in things.reports.items():
        if keys := report.rests_on.get("none"):
            yield AuditFinding(name, f"no source for {listed(keys)}")


Bucket = tuple[object, ...]
"""What two parts have in common whose figures are compared, and the field."""


def out_of_spread(parts: Sequence[PartSpec]) -> Iterator[AuditFinding]:
    """
    Single figures outside of what files alike call typical and worst.

    Alike are parts of one class with the same plug and generation that move the same; from the
    least that is typical of any of them to the worst of any.
    """
    known: defaultdict[Bucket, list[Spread]] = defaultdict(list)
    for part in parts:
        for _, name, figure in spreads(part):
            known[bucket(part, name)].append(figure)
    for part in parts:
        for name, single in single_figures(part):
            said = known.get(bucket(part, name), [])
            least = min((one.typical for one in said), default=single)
            most = max(said, default=single)
            if not least <= single <= most:
                text = f"{name} {single:g} {unit_named(name)}; parts alike have"
                yield AuditFinding(part.id, f"{text} {least:g} to {most:g}")


def bucket(part: PartSpec, name: str) -> Bucket:
    """With which other parts a figure of the part is compared."""
    plug = part.plug
    return (part.part_class, plug.form, plug.width, part.generation, part.demand, name)


def single_figures(entity: Entity) -> Iterator[tuple[str, float]]:
    """Figures written without a spread, of the part and what it draws."""
    for name, value in entity:
        if isinstance(value, Entity) and name == "power":
            yield from single_figures(value)
        elif isinstance(value, float) and not isinstance(value, Spread):
            yield name, value


def unplaced(
    catalog: Catalog, boards: Sequence[Board], progress: Progress
) -> Iterator[AuditFinding]:
    """Boards whose build to begin with has no plan, or nothing in it."""
    for number, board in enumerate(boards):
        progress(f"a build to begin with: {board.id}", number, len(boards))
        try:
            problem = load_build_text(starting_text("build", catalog, board.id), catalog)
        except InputError as error:
            yield AuditFinding(board.id, f"no build can begin with it: {error.mistakes[0]}")
            continue
        plan = best_plan(problem).plan
        if plan is None or not plan.seats:
            yield AuditFinding(board.id, "the build that `slotfit new build` begins has no plan")


DECIDES: Mapping[str, str] = {
    "accelerator": "cooling",
    "backplane": "wiring",
    "carrier": "wiring",
    "fan": "pins",
    "host-bus-adapter": "bracket",
    "network-card": "bracket",
    "network-module": "reach_m",
    "port-multiplier": "generation",
    "serial-card": "ports",
    "sound-card": "bracket",
}
"""Class of part -> the field that decides between its parts; of others, the plug."""


def alone(parts: Sequence[PartSpec]) -> Iterator[AuditFinding]:
    """Classes in which no two parts differ in what decides; breakouts are told by direction."""
    by_class: defaultdict[str, list[PartSpec]] = defaultdict(list)
    for part in parts:
        by_class["breakout" if part.direction else part.part_class].append(part)
    for name, members in sorted(by_class.items()):
        decides = "direction" if name == "breakout" else DECIDES.get(name, "plug")
        if name != "other" and len({str(getattr(one, decides)) for one in members}) == 1:
            same = f"all {len(members)} have" if len(members) > 1 else "the only one has"
            yield AuditFinding(name, f"{same} the same {decides}: no neighbour that differs in it")
