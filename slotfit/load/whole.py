"""One description with everything that follows from it: short forms spelled out, names checked."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from slotfit.errors import InputError, Mistake
from slotfit.load.entities import Described, Outcome, describe
from slotfit.load.report import error_of
from slotfit.load.written import Loc, Written, span_at, value_at
from slotfit.load.yaml_file import parse_yaml, read_yaml
from slotfit.model.entity import Entity


def read_whole(model: type[Described], written: Written, at: Loc = ()) -> Outcome[Described]:
    """The entity at `at`, complete. A board with mistakes is left as it is written."""
    outcome = describe(model, written, at)
    complete = COMPLETE.get(kind_named(model))
    if complete and outcome.entity is not None:
        complete(outcome, outcome.entity, written)
    return outcome


def kind_named(model: type[Entity]) -> str:
    """The word a file has for this kind of entity."""
    return str(model.model_fields["kind"].default)


def complete_part(outcome: Outcome[Any], part: Any, written: Written) -> None:
    from slotfit.load.finish import finish  # noqa: PLC0415
    from slotfit.load.part_checks import part_mistakes  # noqa: PLC0415

    finished = finish(part)
    outcome.entity = finished
    outcome.mistakes += part_mistakes(finished, written, outcome.lost)


def complete_board(outcome: Outcome[Any], board: Any, written: Written) -> None:
    # Imported here so that showing one part does not pay for the model of boards.
    from slotfit.load.board_checks import board_mistakes  # noqa: PLC0415
    from slotfit.load.expand import expand  # noqa: PLC0415

    outcome.mistakes += board_mistakes(board, written, outcome.lost)
    if not outcome.mistakes:
        outcome.entity = expand(board)


Complete = Callable[[Outcome[Any], Any, Written], None]

COMPLETE: dict[str, Complete] = {"part": complete_part, "board": complete_board}
"""Kind -> what is left to do with it; the other kinds are complete as they are written."""


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
    name = value_at(written.root, ("id",))
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
