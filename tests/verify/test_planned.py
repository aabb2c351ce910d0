"""The plan as JSON: what is no plan is told in words, whatever is wrong with it."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slotfit.answers.verify.planned import plan_in
from slotfit.errors import InputError
from tests.verify.scenes import document, planned_in

JUNK: st.SearchStrategy[Any] = (
    st.none() | st.booleans() | st.integers(-3, 3) | st.text(max_size=3) | st.just([]) | st.just({})
)


@pytest.mark.parametrize(
    ("text", "words"),
    [("{", "plan.json:1:2: this is not JSON"), ("[]", "expected what"), ('{"a": 1}', "expected")],
)
def test_what_is_no_plan(text: str, words: str) -> None:
    with pytest.raises(InputError) as raised:
        plan_in(text, "plan.json")
    assert words in str(raised.value)


def test_a_plan_of_several_machines_asks_which() -> None:
    plan = document()
    machines = plan["plan"]["machines"]
    machines.append(dict(machines[0], id="other"))
    with pytest.raises(InputError, match="say which one was seen: marsh, other"):
        planned_in(plan)
    assert planned_in(plan, "other").seats == ()
    with pytest.raises(InputError, match="no machine third"):
        planned_in(plan, "third")


def test_every_mistake_is_told_at_once_and_where_it_is() -> None:
    plan = document()
    plan["plan"]["seats"][0]["links"][0]["trains"]["lanes"] = "x16"
    del plan["plan"]["seats"][1]["site"]
    plan["plan"]["machines"] = {}
    with pytest.raises(InputError) as raised:
        planned_in(plan)
    assert str(raised.value).splitlines() == [
        "plan.json: plan.machines: expected a list",
        "plan.json: plan.seats[0].links[0].trains.lanes: expected a whole number",
        "plan.json: plan.seats[1].site: missing",
    ]


@pytest.mark.parametrize(
    ("number", "words"),
    [
        ("1e999", "plan.seats[0].links[0].trains.generation: expected a number from -1000000000"),
        ("NaN", "expected a number from"),
        ("1000000001", "expected a number from"),
        ("99", "trains.generation: expected a generation from 1 to 7"),
    ],
)
def test_a_number_that_no_plan_has_is_told_where_it_is(number: str, words: str) -> None:
    plan = document()
    plan["plan"]["seats"][0]["links"][0]["trains"]["generation"] = "number"
    with pytest.raises(InputError) as raised:
        plan_in(json.dumps(plan).replace('"number"', number), "plan.json")
    assert words in str(raised.value)


def paths(value: Any, here: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The way to everything inside a value."""
    steps: list[Any] = list(value) if isinstance(value, dict) else []
    steps = list(range(len(value))) if isinstance(value, list) else steps
    for step in steps:
        yield (*here, step)
        yield from paths(value[step], (*here, step))


PATHS = [
    path for path in paths(document()) if path[0] in ("schema_version", "build", "verdict", "plan")
]


@given(st.sampled_from(PATHS), JUNK, st.booleans())
def test_a_damaged_plan_is_read_or_refused(path: tuple[Any, ...], junk: Any, drop: bool) -> None:
    plan = copy.deepcopy(document())
    holder = plan
    for step in path[:-1]:
        holder = holder[step]
    if drop:
        del holder[path[-1]]
    else:
        holder[path[-1]] = junk
    said = refusal(plan)
    assert not said or said.startswith(("plan.json", "--machine"))


def refusal(plan: dict[str, Any]) -> str:
    """What is said of a plan that is refused; empty for one that is read."""
    try:
        planned_in(plan)
    except InputError as error:
        return str(error)
    return ""
