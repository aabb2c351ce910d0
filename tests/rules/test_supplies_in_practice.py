"""Supplies as they fail in practice, each beside a neighbour that works."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.of_plan import place
from slotfit.answers.place.text import as_text
from slotfit.model.problem import Problem
from tests.limits import SECONDS
from tests.rules.tables import problem_of

FILE = Path(__file__).parents[1] / "cases" / "bench" / "supplies.yaml"
EXPECTED = ("status", "rests_on", "power", "rest", "text", "ground")


@cache
def cases() -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = yaml.safe_load(FILE.read_text("utf-8"))
    return found


def spelled(receptacles: Mapping[str, dict[str, Any]]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Each receptacle, those with a `count` one by one."""
    position = 0
    for name, said in receptacles.items():
        one = {key: value for key, value in said.items() if key != "count"}
        for number in range(1, said.get("count", 1) + 1):
            position += 1
            in_row = {"position": position} if one.get("like") == "slot" else {}
            yield f"{name}{number}", {"row": "rear", **one, **in_row} if in_row else one


def problem_in(written: Mapping[str, Any]) -> Problem:
    case = {key: value for key, value in written.items() if key not in EXPECTED}
    case["receptacles"] = dict(spelled(case.get("receptacles", {})))
    return problem_of(case)


def answer_to(written: Mapping[str, Any]) -> PlaceAnswer:
    return place(problem_in(written), SECONDS)


@pytest.mark.parametrize("name", cases())
def test_a_supply_is_judged_as_it_behaves(name: str) -> None:
    case, answer = cases()[name], answer_to(cases()[name])
    assert case["ground"]
    assert answer.verdict.status == case["status"]
    assert [fact.fact for fact in answer.watch.rests_on] == case.get("rests_on", [])
    for field, value in case.get("power", {}).items():
        assert getattr(answer.more.power[0], field) == value, field
    for field, value in case.get("rest", {}).items():
        found = getattr(answer.more.rest[0].plan, field)
        assert (list(found) if isinstance(value, list) else found) == value, field
    words = " ".join(as_text(answer, every=True).split())
    for text in case.get("text", []):
        assert text in words


FORGETTABLE = (
    *("start_w", "peak_w", "idle_w", "rails_w", "low_line_w"),
    *("staggered_start", "input_v", "measured", "price_per_kwh"),
)
"""Facts that a file may leave out; `supplies` is none: without it there is one."""


def forgetting(case: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[str, Any]]:
    """The case with one fact left out, for each of them."""
    if not isinstance(case, dict):
        return
    for key, value in case.items():
        rest = {name: one for name, one in case.items() if name != key}
        if key in FORGETTABLE:
            yield ".".join((*path, key)), rest
        for name, without in forgetting(value, (*path, key)):
            yield name, {**case, key: without}


WORKING = [
    (name, fact)
    for name, case in cases().items()
    if case["status"] == "proven"
    for fact, _ in forgetting({key: case[key] for key in case if key not in EXPECTED})
]


@pytest.mark.parametrize(("name", "fact"), WORKING)
def test_a_forgotten_fact_makes_an_answer_less_certain_and_never_another(
    name: str, fact: str
) -> None:
    whole = answer_to(cases()[name])
    case = {key: value for key, value in cases()[name].items() if key not in EXPECTED}
    less = answer_to(dict(forgetting(case))[fact])
    assert less.verdict.status == "proven"
    assert {one.item for one in less.plan.seats} == {one.item for one in whole.plan.seats}
    assert len(whole.watch.rests_on) <= len(less.watch.rests_on)
