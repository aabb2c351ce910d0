"""What was planned, from the JSON that `slotfit place --json` prints."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from slotfit.errors import InputError, Mistake
from slotfit.load.question import home_of
from slotfit.model.entity import Span
from slotfit.model.problem import Item, Problem

SCHEMA_VERSION = 1
"""Of the answer of `place`: the one that is read here."""


@dataclass(frozen=True, slots=True)
class PlannedLink:
    """One link as it should train; `lanes` 0: planned to stay dark."""

    at: int
    lanes: int
    generation: int | None
    able_lanes: int
    able_generation: int | None
    bus: str
    to: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlannedSeat:
    """One part in its receptacle."""

    item: str
    name: str
    part_class: str
    site: str
    label: str
    owner: str
    depth: int
    processor: str | None
    setting: str | None
    guest: str | None
    recognise: tuple[str, ...]
    links: tuple[PlannedLink, ...]

    @property
    def own(self) -> tuple[PlannedLink, ...]:
        """Links that end in the part itself and are planned to train, over PCI Express."""
        return tuple(
            link for link in self.links if link.bus == "pcie" and not link.to and link.lanes
        )


@dataclass(frozen=True, slots=True)
class PlannedSite:
    """One receptacle of the board."""

    site: str
    id: str
    label: str
    form: str


@dataclass(frozen=True, slots=True)
class Planned:
    """One machine of a plan."""

    build: str
    machine: str
    proven: bool
    processors: tuple[str, ...]
    seats: tuple[PlannedSeat, ...]
    sites: tuple[PlannedSite, ...]

    def children(self, item: str) -> tuple[PlannedSeat, ...]:
        """What sits right on a part."""
        return tuple(seat for seat in self.seats if seat.owner == item)

    def root(self, seat: PlannedSeat) -> str:
        """The board's receptacle below a seat."""
        by_item = {one.item: one for one in self.seats}
        for _ in range(len(self.seats)):
            holder = by_item.get(seat.owner)
            if holder is None:
                break
            seat = holder
        return seat.site


def document_in(text: str, file: str) -> Mapping[str, Any]:
    """The JSON object in a file. Raises InputError."""
    try:
        found = json.loads(text)
    except (ValueError, RecursionError) as error:
        where: Span | str = file
        if isinstance(error, json.JSONDecodeError):
            where = Span(file, error.lineno, error.colno)
        raise InputError([Mistake(where, "", "this is not JSON that can be read")]) from error
    if not isinstance(found, dict):
        raise InputError([Mistake(file, "", EXPECTED)])
    return found


EXPECTED = "expected what `slotfit place BUILD --json` prints"


def planned_in(document: Mapping[str, Any], file: str, machine: str | None = None) -> Planned:
    """
    One machine of a plan; `machine` is its id, needed where the plan has several.

    Raises InputError where the document is no plan, or has no such machine.
    """
    if document.get("schema_version") != SCHEMA_VERSION:
        said = document.get("schema_version")
        text = f"{EXPECTED}, schema_version {SCHEMA_VERSION}, not {json.dumps(said)[:40]}"
        raise InputError([Mistake(file, "schema_version", text)])
    try:
        return _planned(document, _machine(document, file, machine))
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        text = f"{EXPECTED}; this lacks or miswrites {clean_of(error)}"
        raise InputError([Mistake(file, "", text)]) from error


def clean_of(error: Exception) -> str:
    """The part of an error that names what is wrong."""
    return str(error)[:80] if isinstance(error, KeyError) else "some field"


def _machine(document: Mapping[str, Any], file: str, wanted: str | None) -> Mapping[str, Any]:
    machines: list[Mapping[str, Any]] = list(document["plan"]["machines"])
    names = [str(one["id"]) for one in machines]
    if wanted is not None and wanted not in names:
        text = f"the plan has no machine {wanted}; known: {', '.join(names)}"
        raise InputError([Mistake("--machine", "", text)])
    if wanted is None and len(names) != 1:
        text = f"the plan has {len(names)} machines; say which one was seen: {', '.join(names)}"
        raise InputError([Mistake("--machine", "", f"{text} ({file})")])
    return next(one for one in machines if wanted in (None, str(one["id"])))


def _planned(document: Mapping[str, Any], machine: Mapping[str, Any]) -> Planned:
    name = str(machine["id"])
    return Planned(
        build=str(document["build"]),
        machine=name,
        proven=document["verdict"]["status"] == "proven",
        processors=tuple(str(one[0]) for one in machine["processors"]),
        seats=tuple(_seat(one) for one in document["plan"]["seats"] if one["machine"] == name),
        sites=tuple(
            PlannedSite(str(one["site"]), str(one["id"]), str(one["label"]), str(one["form"]))
            for one in document["plan"]["receptacles"]
            if one["machine"] == name and one["on_board"]
        ),
    )


def _seat(one: Mapping[str, Any]) -> PlannedSeat:
    return PlannedSeat(
        item=str(one["item"]),
        name=str(one["name"]),
        part_class=str(one["part_class"]),
        site=str(one["site"]),
        label=str(one["label"]),
        owner=str(one["owner"]),
        depth=int(one["depth"]),
        processor=_text(one["processor"]),
        setting=_text(one["setting"]),
        guest=_text(one.get("guest")),
        recognise=tuple(str(number) for number in one.get("recognise", ())),
        links=tuple(_link(link) for link in one["links"]),
    )


def _text(value: object) -> str | None:
    return None if value is None else str(value)


def _number(value: Any) -> int | None:
    return None if value is None else int(value)


def _link(one: Mapping[str, Any]) -> PlannedLink:
    return PlannedLink(
        at=int(one["at"]),
        lanes=int(one["trains"]["lanes"]),
        generation=_number(one["trains"]["generation"]),
        able_lanes=int(one["able"]["lanes"]),
        able_generation=_number(one["able"]["generation"]),
        bus=str(one["bus"]),
        to=tuple(str(name) for name in one["to"]),
    )


def as_it_stands(problem: Problem) -> Problem:
    """The same machines with what sits in them today, and nothing to choose but settings."""
    here = {item.id for item in problem.items if home_of(problem, item.id) is not None}
    kept = [item for item in problem.items if item.body in here]
    owners = {item.id for item in kept} | set(problem.rig)
    return replace(
        problem,
        items=tuple(pinned(item, problem) for item in kept),
        sites=tuple(site for site in problem.sites if site.owner in owners),
        together=(),
        apart=(),
    )


def pinned(item: Item, problem: Problem) -> Item:
    """Where it is, and nowhere else; what it moves, and whose it is, still counts."""
    site = problem.today.get(item.id)
    kept = {"pin": site, "only": (), "ban": (), "machine": None, "must_be_near": False}
    return item._replace(wish=item.wish.model_copy(update={**kept, "required": site is not None}))
