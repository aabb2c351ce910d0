"""What was planned: one machine of a plan, from the answer of `place` or from its JSON."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from slotfit.answers.check.machine_asked import home_of
from slotfit.answers.place.answer import (
    SCHEMA_VERSION,
    PlaceAnswer,
    PlannedLink,
    PlannedMachine,
    PlannedReceptacle,
    PlannedSeat,
)
from slotfit.answers.place.of_plan import place
from slotfit.errors import InputError, Mistake
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog
from slotfit.load.findings import error_of
from slotfit.load.yaml_file import path_text
from slotfit.load.yaml_text import read_text
from slotfit.model.entity import Span
from slotfit.model.plan import Status
from slotfit.model.problem import Part, Problem
from slotfit.solve.place import Progress, silent
from slotfit.standards.pcie import GENERATIONS


@dataclass(frozen=True)
class MachinePlan:
    """One machine of a plan."""

    answer: PlaceAnswer
    id: str
    seats: tuple[PlannedSeat, ...]
    """Without what nobody has named: there is nothing to know it by."""
    on_board: tuple[PlannedReceptacle, ...]
    """The receptacles of its board."""

    @cached_property
    def machine(self) -> PlannedMachine:
        """The machine as the plan has it."""
        return next(one for one in self.answer.plan.machines if one.id == self.id)

    @cached_property
    def seat(self) -> Mapping[str, PlannedSeat]:
        """Part -> its seat."""
        return {seat.item: seat for seat in self.seats}

    @property
    def processors(self) -> tuple[str, ...]:
        """Ids, in the board's order."""
        return tuple(name for name, _, _ in self.machine.processors)

    def children(self, part: str) -> tuple[PlannedSeat, ...]:
        """What sits right on a part."""
        return tuple(seat for seat in self.seats if seat.owner == part)

    def holders(self, seat: PlannedSeat) -> list[PlannedSeat]:
        """The parts that hold a seat, the nearest first, down to the board."""
        found: list[PlannedSeat] = []
        while len(found) < len(self.seats) and (holder := self.seat.get(seat.owner)):
            found.append(holder)
            seat = holder
        return found


def own_links(seat: PlannedSeat) -> tuple[PlannedLink, ...]:
    """Links that end in the part itself and are planned to train, over PCI Express."""
    return tuple(
        link for link in seat.links if link.bus == "pcie" and not link.to and link.trains.lanes
    )


EXPECTED = "expected what `slotfit place BUILD --json` prints"

WRONG = {
    "missing": "missing",
    "string_type": "expected a text",
    "int_type": "expected a whole number",
    "int_from_float": "expected a whole number",
    "float_type": "expected a number",
    "bool_type": "expected true or false",
    "tuple_type": "expected a list",
    "dataclass_type": "expected an object",
    "dict_type": "expected an object",
    "too_long": "too long a list",
}
"""Kind of pydantic's finding -> what to say of it."""


def planned(
    file: str | Path,
    catalog: Catalog,
    seconds: float = 60.0,
    progress: Progress = silent,
    *,
    today: bool = False,
) -> PlaceAnswer:
    """
    The plan of a build file, or that which `slotfit place --json` printed.

    `today`: what sits in the machines today instead, which only a build file says. Raises
    InputError.
    """
    text, name = read_text(Path(file))
    if text.lstrip().startswith("{") and '"schema_version"' in text:
        if today:
            hint = "a plan has no `today`; name the build file"
            raise InputError([Mistake("--today", "", hint)])
        return plan_in(text, name)
    problem = load_build(Path(file), catalog)
    return place(as_it_stands(problem) if today else problem, seconds, progress)


def plan_in(text: str, file: str) -> PlaceAnswer:
    """A plan as `slotfit place --json` printed it. Raises InputError with every mistake in it."""
    wrong = wrong_numbers(text, file)
    answer: PlaceAnswer | None = None
    try:
        answer = _reader().validate_json(text, strict=True)
    except ValidationError as error:
        for one in error.errors(include_url=False, include_input=False):
            wrong.setdefault(path_text(one["loc"]), WRONG.get(one["type"], "cannot stand here"))
    if answer and answer.verdict.status not in STATUSES:
        wrong["verdict.status"] = f"expected one of {', '.join(STATUSES)}"
    if wrong or answer is None:
        raise error_of(Mistake(file, path, why) for path, why in wrong.items())
    return answer


@cache
def _reader() -> TypeAdapter[PlaceAnswer]:
    """Takes longer to make than to use."""
    return TypeAdapter(PlaceAnswer)


def wrong_numbers(text: str, file: str) -> dict[str, str]:
    """Path -> what is wrong there. Raises InputError for what is no JSON, or of another version."""
    try:
        found = json.loads(text)
        wrong = {path_text(way): why for way, why in impossible(found)}
    except (ValueError, RecursionError) as error:
        where: Span | str = file
        if isinstance(error, json.JSONDecodeError):
            where = Span(file, error.lineno, error.colno)
        raise InputError([Mistake(where, "", "this is not JSON that can be read")]) from error
    if not isinstance(found, dict):
        raise InputError([Mistake(file, "", EXPECTED)])
    said = found.get("schema_version")
    if said != SCHEMA_VERSION:
        other = f"{EXPECTED}, schema_version {SCHEMA_VERSION}, not {json.dumps(said)[:40]}"
        raise InputError([Mistake(file, "schema_version", other)])
    return wrong


STATUSES = [one.value for one in Status]

MOST = 1_000_000_000
"""More than any figure of a plan in its unit."""

Way = tuple[str | int, ...]


def impossible(value: object, way: Way = ()) -> Iterator[tuple[Way, str]]:
    """Numbers that no plan has, and where they stand."""
    if isinstance(value, dict):
        for key, one in value.items():
            yield from impossible(one, (*way, key))
    elif isinstance(value, list):
        for number, one in enumerate(value):
            yield from impossible(one, (*way, number))
    elif isinstance(value, int | float) and not abs(value) <= MOST:  # nor what is no number
        yield way, f"expected a number from -{MOST} to {MOST}"
    elif way[-1:] == ("generation",) and isinstance(value, int) and value not in GENERATIONS:
        yield way, f"expected a generation from {min(GENERATIONS)} to {max(GENERATIONS)}"


def planned_machine(
    answer: PlaceAnswer, file: str = "the plan", machine: str | None = None
) -> MachinePlan:
    """
    One machine of a plan; `machine` is its id, needed where the plan has several.

    `file` is what mistakes call the plan. Raises InputError where it has no such machine.
    """
    names = [one.id for one in answer.plan.machines]
    if machine is not None and machine not in names:
        text = f"the plan has no machine {machine}; known: {', '.join(names)}"
        raise InputError([Mistake("--machine", "", text)])
    if machine is None and len(names) != 1:
        text = f"the plan has {len(names)} machines; say which one was seen: {', '.join(names)}"
        raise InputError([Mistake("--machine", "", f"{text} ({file})")])
    name = machine or names[0]
    return MachinePlan(
        answer,
        name,
        tuple(s for s in answer.plan.seats if s.machine == name and not s.is_unknown),
        tuple(one for one in answer.plan.receptacles if one.machine == name and one.on_board),
    )


def as_it_stands(problem: Problem) -> Problem:
    """The same machines with what sits in them today, and nothing to choose but settings."""
    here = {part.id for part in problem.parts if home_of(problem, part.id) is not None}
    kept = [part for part in problem.parts if part.body in here]
    owners = {part.id for part in kept} | set(problem.machine)
    return replace(
        problem,
        parts=tuple(pinned(part, problem) for part in kept),
        receptacles=tuple(one for one in problem.receptacles if one.owner in owners),
        together=(),
        apart=(),
    )


def pinned(part: Part, problem: Problem) -> Part:
    """Where it is, and nowhere else; what it moves, and whose it is, still counts."""
    receptacle = problem.today.get(part.id)
    kept = {"pin": receptacle, "only": (), "ban": (), "machine": None, "must_be_near": False}
    return replace(
        part, wish=part.wish.model_copy(update={**kept, "required": receptacle is not None})
    )
