"""The schemas of answers: made from their types, and of one mind with what `--json` prints."""

from __future__ import annotations

import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from slotfit import api
from slotfit.answers.catalog.schema import schema_of
from slotfit.answers.sequence import answer
from slotfit.answers.text_layout import as_json
from tests.limits import SECONDS
from tests.sequence.finished import finished
from tests.sequence.rebuilds import LIGHTHOUSE, asked_otherwise
from tests.sequence.test_pull_first import asked as ranking


@pytest.mark.parametrize("name", ["sequence", "pull-first"])
def test_it_is_a_schema_and_says_what_every_part_is(name: str) -> None:
    made = schema_of("answer-" + name)
    Draft202012Validator.check_schema(made)
    for kind, model in {"the whole": made, **made["$defs"]}.items():
        assert model["description"], kind
        undescribed = [key for key, field in model["properties"].items() if not words_of(field)]
        assert undescribed == [] or kind not in OWN, kind


OWN = {
    kind.__name__
    for kind in vars(answer).values()
    if getattr(kind, "__module__", "") == answer.__name__
}
"""Parts that no other answer has."""


def words_of(field: dict[str, Any]) -> bool:
    """Whether a key has a text of its own, or its part of the answer has one."""
    return bool(field.get("description") or field.get("$ref"))


def answers() -> dict[str, str]:
    """JSON of finished answers, and of some just worked out: with windows, with none, ranked."""
    no_way = api.sequence(asked_otherwise(LIGHTHOUSE, most_windows=2), seconds=SECONDS)
    assert no_way.more.no_way is not None
    return {
        "sequence": as_json(finished()),
        "sequence, no way": as_json(no_way),
        "pull-first": as_json(ranking("accelerator")),
    }


def test_what_is_printed_fits() -> None:
    for name, text in answers().items():
        validator = Draft202012Validator(schema_of("answer-" + name.partition(",")[0]))
        assert [error.message for error in validator.iter_errors(json.loads(text))] == []


def test_what_has_a_key_less_or_a_word_for_a_number_does_not_fit() -> None:
    validator = Draft202012Validator(schema_of("answer-" + "sequence"))
    whole = json.loads(as_json(finished()))
    for part in whole:
        assert not validator.is_valid({key: one for key, one in whole.items() if key != part})
    assert not validator.is_valid(whole | {"seconds": "long"})
