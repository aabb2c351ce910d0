"""An answer names the fans that it lives on, and what stops with one of them."""

from __future__ import annotations

from typing import Any

import pytest

from slotfit.answers.place.answer import AirSource
from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.answers.place.text import air_lines, as_text
from slotfit.errors import InputError
from tests.limits import SECONDS
from tests.rules.tables import problem_of

HEADERS = {name: {"like": "fan-header"} for name in ("fan1", "fan2")}
TWO = {"fan": {"like": "fan", "count": 2}}
WARM = {"cooling": "passive", "airflow_lfm": 200, "airflow_at_c": 40}
MOUNT = {"receptacles": [{"id": "fins", "form": "cooling-mount", "mount": "heat-sink"}]}
BLOWER = {"blower": {"like": "blower", "mounts": ["heat-sink"], "adds_length_mm": 10}}


def answered(case: dict[str, Any]) -> tuple[tuple[AirSource, ...], str]:
    """Whose air it is, as a value and in the text."""
    answer = answer_of(best_plan(problem_of(case), SECONDS))
    return answer.plan.machines[0].air_by, " ".join(as_text(answer).split())


def case_of(machine: dict[str, Any], **said: Any) -> dict[str, Any]:
    base = {"card": WARM, "parts": TWO, "receptacles": HEADERS, "chassis": {"airflow_lfm": 300}}
    return base | said | {"machine": machine}


@pytest.mark.parametrize(
    ("left", "stops", "may_stop", "text"),
    [
        (199, ("card",), (), "if one of them stops, card has too little"),
        (200, (), (), "if one of them stops, nothing has too little"),
        (None, (), ("card",), "if one of them stops, whether card may run on is not known"),
    ],
)
def test_the_answer_names_its_fans_and_what_one_of_them_stops(
    left: float | None, stops: tuple[str, ...], may_stop: tuple[str, ...], text: str
) -> None:
    """A need of 200 LFM against the air that is left (common practice, no source)."""
    said = {} if left is None else {"airflow_one_failed_lfm": left}
    sources, printed = answered(case_of({"air_by": ["fan"], **said}))
    assert sources == tuple(AirSource(fan, "", stops, may_stop) for fan in ("fan-1", "fan-2"))
    assert f"air over the slots: fan-1 and fan-2; {text}" in printed


def test_a_lone_fan_takes_all_the_air_with_it() -> None:
    parts = {"fan": {"like": "fan"}}
    sources, _ = answered(case_of({"air_by": ["fan"]}, parts=parts))
    assert sources == (AirSource("fan", "", ("card",), ()),)


def test_a_card_under_a_blower_of_its_own_stops_with_that() -> None:
    said = {"card": WARM | MOUNT, "parts": TWO | BLOWER, "chassis": {"airflow_lfm": 100}}
    sources, printed = answered(case_of({"air_by": ["fan"], "airflow_one_failed_lfm": 50}, **said))
    assert [(one.item, one.stops) for one in sources] == [
        ("fan-1", ()),
        ("fan-2", ()),
        ("blower", ("card",)),
    ]
    assert "air over card: blower; if it stops, card has too little" in printed


def test_fans_that_nobody_names_are_not_told_of() -> None:
    sources, printed = answered(case_of({}))
    assert (sources, "air over" in printed) == ((), False)


def test_a_fan_that_is_no_part_of_the_build_is_a_mistake() -> None:
    with pytest.raises(InputError, match=r"air_by\[0\]: there is no part front"):
        problem_of(case_of({"air_by": ["front"]}))


def test_many_fans_alike_are_told_in_one_sentence() -> None:
    fans = [AirSource(f"fan-{number}", "", (), ()) for number in (1, 2, 3)]
    assert list(air_lines(fans)) == [
        "air over the slots: fan-1 to fan-3; if one of them stops, nothing has too little"
    ]
