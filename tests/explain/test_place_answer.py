"""What `place --json` prints keeps to the schema that is published for it."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.answers.text_layout import as_json
from slotfit.files import catalog_root
from slotfit.load.build_file import load_build
from slotfit.load.catalog import standard_catalog
from tests.docs.console import run
from tests.limits import SECONDS
from tests.render.hand_answer import HOSTILE, empty_answer, hand_answer

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*/build.yaml"))
SCHEMA = json.loads((catalog_root() / "schema" / "answer-place.json").read_text("utf-8"))


def faults(answer: Any) -> list[str]:
    return [error.message for error in Draft202012Validator(SCHEMA).iter_errors(answer)]


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda path: path.parent.name)
def test_every_example_is_answered_in_the_published_shape(file: Path) -> None:
    placed = best_plan(load_build(file, standard_catalog(())), SECONDS)
    assert faults(json.loads(as_json(answer_of(placed)))) == []


def test_so_is_what_is_said_where_nothing_fits_and_what_is_asked_beside_a_plan() -> None:
    no_plan = next(file for file in EXAMPLES if file.parent.name == "infeasible-lanes")
    _, printed = run(["slotfit", "place", str(no_plan), "--ways", "0", "--json"])
    answer = json.loads("\n".join(printed))
    assert "explanation" in answer
    assert faults(answer) == []


@pytest.mark.parametrize(
    "answer", [hand_answer(), hand_answer(HOSTILE), empty_answer()], ids=["hand", "odd", "empty"]
)
def test_so_is_one_made_by_hand(answer: PlaceAnswer) -> None:
    assert faults(json.loads(as_json(answer))) == []


def test_a_key_too_many_or_too_few_is_seen() -> None:
    answer = json.loads(as_json(hand_answer()))
    del answer["plan"]["seats"][0]["item"]
    answer["do"]["plugs"][0]["number"] = 2
    assert len(faults(answer)) == 2


def test_the_schema_says_what_every_object_is() -> None:
    described = [SCHEMA, *SCHEMA["$defs"].values()]
    assert all(one["description"] for one in described)
    assert set(SCHEMA["$defs"]) - kinds_in(hand_answer()) == {
        "CountedShortage",
        "SeatReason",
        "StageOutcome",
        "StageValue",
        "AirSource",
        "FirmwareToSee",
        "MachineAtRest",
        "Mind",
        "YearAtRest",
    }


def kinds_in(value: object) -> set[str]:
    """Names of the classes of a value and of all that is in it."""
    if is_dataclass(value):
        inside = (kinds_in(getattr(value, field.name)) for field in fields(value))
        return {type(value).__name__}.union(*inside)
    return set().union(*map(kinds_in, value)) if isinstance(value, tuple) else set()
