"""Figures that can hardly be meant: the likely unit is named, or the file says `meant`."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.errors import Mistake
from slotfit.load.checks import Complaints
from slotfit.load.words import known_names
from slotfit.load.yaml_file import Written
from slotfit.model.board import Hub, LaneGroup
from slotfit.model.entity import Entity
from slotfit.model.part import Link, PartSpec, ReceptacleSpec
from slotfit.model.units import unit_named
from slotfit.standards.plausible import (
    GENERATIONS,
    Range,
    field_range,
    likely_unit,
    uplink,
)


def figure_mistakes(described: Entity, written: Written, lost: frozenset[str]) -> list[Mistake]:
    """Those of a part, a board, a chassis or a power supply."""
    found = Complaints(written, lost)
    check_figures(described, found)
    return found.mistakes


def check_figures(described: Entity, found: Complaints) -> None:
    """
    Complain of every figure out of range that the description does not call meant.

    `meant` names a field, or the field of one thing in the description: `slot3.length_mm`.
    """
    meant: tuple[str, ...] = getattr(described, "meant", ())
    names: set[str] = set()
    for owner, entity, field, path, figure, range_ in figures(described, described):
        its = {field, f"{getattr(owner, 'id', '')}.{field}"}
        names |= its
        if not range_.holds(figure) and its.isdisjoint(meant):
            found.add(entity, path, refused(figure, field, range_))
    for number, name in enumerate(meant):
        if name not in names:
            text = f"no figure here is called {name}{known_names(name, names)}"
            found.add(described, f"meant[{number}]", text)


def refused(figure: float, field: str, range_: Range) -> str:
    """What is wrong with a figure, and what to write instead."""
    unit = unit_named(field)
    shown = f" {unit}" if unit and unit != "%" else unit
    text = f"{figure:g}{shown} is no figure for {range_.of}: {range_.least:g} to {range_.most:g}"
    text += f"{shown} ({range_.source})"
    if likely := likely_unit(figure, unit, range_):
        text += f"; {likely[0]}? write {likely[1]:g}"
    return f"{text}; if it is so, add `meant: [{field}]`"


Figure = tuple[Entity, Entity, str, str, float, Range]
"""The thing with a name, the entity and the field, the way to the figure, it, and its range."""


def figures(entity: Entity, owner: Entity) -> Iterator[Figure]:
    """Every figure that is written in an entity or in what it holds, and has a range."""
    if isinstance(getattr(entity, "id", None), str):
        owner = entity
    for field in type(entity).model_fields:
        if field not in entity.model_fields_set:
            continue
        value = getattr(entity, field)
        range_ = range_of(entity, owner, field)
        for path, one in items_of(field, value):
            if isinstance(one, Entity) and not hasattr(one, "kind"):
                yield from figures(one, owner)
            elif range_ and isinstance(one, int | float) and not isinstance(one, bool):
                yield owner, entity, field, path, one, range_


def items_of(field: str, value: object) -> Iterator[tuple[str, object]]:
    """What stands in a field, each with the way to it."""
    match value:
        case tuple():
            yield from ((f"{field}[{number}]", one) for number, one in enumerate(value))
        case dict():
            yield from ((f"{field}.{key}", one) for key, one in value.items())
        case _:
            yield field, value


def range_of(entity: Entity, owner: Entity, field: str) -> Range | None:
    """The range of one field; None if it has none."""
    if isinstance(entity, Hub) and field == "background_gb_s":
        return uplink(entity.generation, entity.lanes)
    if isinstance(entity, ReceptacleSpec | LaneGroup | Link) and field == "generation":
        return GENERATIONS.get(bus) if (bus := bus_written(entity)) else None
    name = "ReceptacleSpec" if isinstance(entity, ReceptacleSpec) else type(entity).__name__
    plug = owner.plug if isinstance(owner, PartSpec) else owner
    return field_range(name, field, getattr(plug, "form", ""), getattr(plug, "width", None))


def bus_written(entity: Entity) -> str | None:
    """The bus that a file names for lanes; None where it follows from their form."""
    return getattr(entity, "bus", None) if "bus" in entity.model_fields_set else None
