"""Everything there is to say of one file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from slotfit.catalog.lint.board_gaps import board_gaps
from slotfit.catalog.lint.build_gaps import build_gaps
from slotfit.catalog.lint.part_gaps import chassis_gaps, part_gaps, supply_gaps
from slotfit.catalog.lint.plausible import implausible
from slotfit.catalog.lint.plausible_board import implausible_board
from slotfit.catalog.lint.remark import Remark, Report, of_mistake
from slotfit.catalog.lint.sources import unsourced
from slotfit.errors import InputError, Mistake
from slotfit.load.build_file import problem_of
from slotfit.load.catalog import Catalog, kind_of
from slotfit.load.entities import describe
from slotfit.load.file_text import shown
from slotfit.load.kinds import model_named
from slotfit.load.report import place_of
from slotfit.load.schema_walk import keys_of
from slotfit.load.whole import read_whole
from slotfit.load.written import Written, span_at
from slotfit.load.yaml_file import read_yaml
from slotfit.model.board import Board
from slotfit.model.build import Build
from slotfit.model.entity import Entity
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import Part


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
    return Report(written.file, kind, getattr(entity, "id", path.stem), ordered(remarks))


def as_written(model: type[Entity], written: Written) -> Entity | None:
    """A board with its short forms as they stand, a part with what follows from its links."""
    return (read_whole if model is Part else describe)(model, written).entity


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
    match entity:
        case Part():
            yield from implausible(entity, file)
            yield from part_gaps(entity, file)
        case Board():
            yield from implausible_board(entity, file)
            yield from board_gaps(entity, file)
        case Chassis():
            yield from chassis_gaps(entity, file)
        case PowerSupply():
            yield from supply_gaps(entity, file)
        case Build():
            yield from build_gaps(entity, file)
        case _:
            pass
