"""From what a file says to the entities of the model, each knowing where it was written."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Generic, TypeVar

from pydantic import ValidationError

from slotfit.errors import InputError, Mistake
from slotfit.load.checks import board_mistakes, chassis_mistakes, part_mistakes
from slotfit.load.expand import complete, expand
from slotfit.load.figures import figure_mistakes
from slotfit.load.findings import Finding, error_of, is_miscounted, mistakes_of
from slotfit.load.impossible import (
    impossible_chassis,
    impossible_menu,
    impossible_power,
    impossible_spread,
    impossible_supply,
)
from slotfit.load.words import quote
from slotfit.load.yaml_file import (
    Loc,
    Written,
    parse_yaml,
    path_text,
    read_yaml,
    span_at,
    steps_of,
    value_at,
    without,
)
from slotfit.model.board import Board
from slotfit.model.entity import Entity, Span
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec

Described = TypeVar("Described", bound=Entity)

KINDS = ("board", "part", "chassis", "power-supply", "build", "futures")


class Outcome(Generic[Described]):
    """What could be made of a description, and everything wrong with it."""

    def __init__(
        self,
        entity: Described | None,
        mistakes: list[Mistake] | None = None,
        lost: frozenset[str] = frozenset(),
    ) -> None:
        self.entity = entity
        """Without what is wrong in it, so that the rest can be checked in the same run; None if too
        little was left."""
        self.mistakes = [] if mistakes is None else mistakes
        self.lost = lost
        """Ids of what was left out; naming one of them is not a further mistake."""


def describe(model: type[Described], written: Written, at: Loc = ()) -> Outcome[Described]:
    """Read the entity at `at`; never raises for what a file may say."""
    found = value_at(written, at)
    if not isinstance(found, dict):
        text = f"expected a mapping such as {{id: ...}}, not {quote(found)}"
        return Outcome(None, [Mistake(span_at(written, at), path_text(at), text)])
    if wrong := of_another_kind(model, found, written, at):
        return Outcome(None, [wrong])
    try:
        entity = model.model_validate(found, strict=True)
    except ValidationError as error:
        # What comes up later is only an echo of what was taken out.
        findings: Sequence[Finding] = error.errors(include_url=False)
        mistakes = [*mistakes_of(model, findings, written, at)]
        left, lost = salvage(model, without(written, (), at), findings)
        return Outcome(left, mistakes, lost)
    mark(entity, written, at)
    return Outcome(entity)


def salvage(
    model: type[Described], left: Written, findings: Sequence[Finding]
) -> tuple[Described | None, frozenset[str]]:
    """
    The entity without what `findings` and those after them are about; None if too little is left.

    With it the ids that went.
    """
    lost: frozenset[str] = frozenset()
    while True:
        if any(finding["type"] == "missing" and finding["loc"] == ("id",) for finding in findings):
            left.root["id"], left.spans["id",] = "unnamed", left.spans[()]
        else:
            gone = {steps_of(left, one["loc"]) for one in findings if not is_miscounted(one)}
            if not gone or () in gone:
                return None, lost
            lost |= {name for loc in gone for name in ids_in(value_at(left, loc), loc[-1])}
            left = without(left, gone)
        try:
            entity = model.model_validate(left.root, strict=True)
        except ValidationError as error:
            findings = error.errors(include_url=False)
        else:
            mark(entity, left, ())
            return entity, lost


def of_another_kind(
    model: type[Entity], found: Mapping[str, Any], written: Written, at: Loc
) -> Mistake | None:
    """A part where a board is expected is one mistake, not one for each key."""
    info = model.model_fields.get("kind")
    kind = found.get("kind")
    if info is None or kind == info.default or kind not in KINDS:
        return None
    text = f"this describes a {kind}; a {info.default} is expected here"
    return Mistake(span_at(written, (*at, "kind")), path_text((*at, "kind")), text)


def ids_in(value: Any, step: str | int) -> Iterator[str]:
    """Every id in what stands at a key or part."""
    if isinstance(value, str) and step == "id":
        yield value
    elif isinstance(value, dict | tuple):
        for inner_step, inner in value.items() if isinstance(value, dict) else enumerate(value):
            yield from ids_in(inner, inner_step)


def mark(entity: Entity, written: Written, loc: Loc) -> None:
    """Tell an entity, and every entity inside it, where its fields are written."""
    entity.marks[""] = span_at(written, loc)
    for name, info in type(entity).model_fields.items():
        for key in {info.alias or name, name}:
            if (*loc, key) in written.spans:
                entity.marks[key] = written.spans[*loc, key]
                mark_value(entity.marks, name, getattr(entity, name), written, (*loc, key))


def mark_value(marks: dict[str, Span], path: str, made: Any, written: Written, loc: Loc) -> None:
    """Mark what stands in one field: `entity.span("only[1]")`, `entity.span("today.gpu")`."""
    marks[path] = span_at(written, loc)
    match made:
        case Entity():
            mark(made, written, loc)
        case tuple():
            for number, one in enumerate(made):
                mark_value(marks, f"{path}[{number}]", one, written, (*loc, number))
        case dict():
            for key, one in made.items():
                mark_value(marks, f"{path}.{key}", one, written, (*loc, key))


def read_whole(model: type[Described], written: Written, at: Loc = ()) -> Outcome[Described]:
    """The entity at `at`, complete. A board with mistakes is left as it is written."""
    outcome: Outcome[Any] = describe(model, written, at)
    match outcome.entity:
        case PartSpec() as part:
            outcome.mistakes += figure_mistakes(part, written, outcome.lost)
            outcome.entity = finished = complete(part)
            outcome.mistakes += part_mistakes(finished, written, outcome.lost)
            outcome.mistakes += impossible_power(finished, written)
            outcome.mistakes += impossible_spread(finished, written)
        case Board() as board:
            outcome.mistakes += figure_mistakes(board, written, outcome.lost)
            outcome.mistakes += board_mistakes(board, written, outcome.lost)
            outcome.mistakes += impossible_menu(board, written)
            outcome.entity = board if outcome.mistakes else expand(board)
        case Chassis() | PowerSupply() as other:
            outcome.mistakes += figure_mistakes(other, written, outcome.lost)
            if isinstance(other, PowerSupply):
                outcome.mistakes += impossible_supply(other, written)
            else:
                outcome.mistakes += impossible_chassis(other, written)
                outcome.mistakes += chassis_mistakes(other, written, outcome.lost)
        case _:
            pass
    return outcome


def kind_named(model: type[Entity]) -> str:
    """The word a file has for this kind of entity."""
    return str(model.model_fields["kind"].default)


def read_file(
    path: Path, model: type[Described], *, check_name: bool = False
) -> Outcome[Described]:
    """What a file describes; `check_name` insists that it is called as its id."""
    try:
        written = read_yaml(path)
    except InputError as error:
        return Outcome(None, list(error.mistakes))
    outcome = read_whole(model, written)
    outcome.mistakes[:0] = written.mistakes
    name = value_at(written, ("id",))
    if check_name and isinstance(name, str) and name != path.stem:
        text = f"the file is called {path.stem}; file name and id must agree"
        outcome.mistakes.append(Mistake(span_at(written, ("id",)), "id", text))
    return outcome


def read_inline(text: str, model: type[Described], file: str) -> Described:
    """What a piece of YAML describes, `file` being its name in messages; raises InputError."""
    written = parse_yaml(text, file)
    outcome = read_whole(model, written)
    outcome.mistakes[:0] = written.mistakes
    return settled(outcome)


def settled(outcome: Outcome[Described]) -> Described:
    """The entity if nothing is wrong; raises InputError with everything that is."""
    if outcome.mistakes or outcome.entity is None:
        raise error_of(outcome.mistakes)
    return outcome.entity
