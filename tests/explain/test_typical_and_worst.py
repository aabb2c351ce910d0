"""
A class that varies: limits are held to the worst, and what would do by the typical is said.

The figures are invented; what they come to is arithmetic that stands beside them.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from slotfit import api
from slotfit.answers.no_plan.explain import no_plan_answer
from slotfit.answers.place.text import as_text
from slotfit.errors import InputError
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import standard_catalog
from slotfit.load.entities import read_inline
from slotfit.model.part import PartSpec
from slotfit.model.problem import Problem
from slotfit.model.spread import at_typical
from tests.limits import SECONDS

NIC: dict[str, Any] = {
    "kind": "part",
    "id": "nic",
    "plug": "cem x8",
    "links": "x8",
    "generation": 3,
    "thickness": 1,
    "length_mm": 150,
    "height_mm": 68,
    "bracket": "both",
    "power": {"slot_w": 12},
    "cooling": "passive",
    "airflow_lfm": 100,
}


def slot(number: int) -> dict[str, Any]:
    return {
        "id": f"slot{number}",
        "form": "cem",
        "width": 8,
        "row": "rear",
        "position": number,
        "power_w": 15,
        "from": "cpu0",
        "generation": 3,
        "lanes": 8,
        "splits": [],
    }


BOARD = {
    "kind": "board",
    "id": "bench",
    "size": "atx",
    "processors": [{"id": "cpu0"}],
    "rows": [{"id": "rear", "positions": 2}],
    "receptacles": [slot(0), slot(1)],
}
CASE = {
    "kind": "chassis",
    "id": "case",
    "sizes": ["atx"],
    "openings": 2,
    "bracket": "full",
    "card_length_mm": 170,
    "card_height_mm": 130,
    "airflow_lfm": 180,
}
SUPPLY = {"kind": "power-supply", "id": "supply", "watts": 125, "plugs": {}}


def problem(part: dict[str, Any], **wishes: Any) -> Problem:
    """A machine with 170 mm, 180 LFM, 15 W a slot, and 25 W of its supply for all parts."""
    machine = {"id": "m", "board": BOARD, "chassis": CASE, "power_supply": SUPPLY, "base_w": 100}
    build = {"kind": "build", "id": "b", "machines": [machine]}
    build["parts"] = [{"id": "nic", "part": part, **wishes}]
    return load_build_text(json.dumps(build), standard_catalog(), beside=Path())


def told(part: dict[str, Any], *, every: bool = False, **wishes: Any) -> str:
    return as_text(api.place(problem(part, **wishes), seconds=SECONDS), every=every)


VARIES: dict[str, tuple[dict[str, Any], str]] = {
    "length_mm": ({"length_mm": {"typical": 150, "worst": 190}}, "typical 150 mm would fit"),
    "airflow_lfm": ({"airflow_lfm": {"typical": 150, "worst": 200}}, "typical 150 LFM would fit"),
    "slot_w": ({"power": {"slot_w": {"typical": 12, "worst": 16}}}, "typical 12 W would fit"),
}
"""One figure for which the machine has room by the typical and none by the worst."""


@pytest.mark.parametrize("field", VARIES)
def test_the_worst_is_refused_and_the_typical_that_would_fit_is_said(field: str) -> None:
    changed, words = VARIES[field]
    assert words in " ".join(told({**NIC, **changed}, required=False).split())
    assert api.place(problem(NIC), seconds=SECONDS).plan.seats
    point = {name: worst_of(value) for name, value in changed.items()}
    alone = told({**NIC, **point}, required=False)
    assert "Left out" in alone
    assert "typical" not in alone


def worst_of(value: Any) -> Any:
    if isinstance(value, dict):
        return value.get("worst") or {name: worst_of(one) for name, one in value.items()}
    return value


BEYOND: tuple[dict[str, Any], ...] = (
    {"length_mm": {"typical": 175, "worst": 190}},
    {"airflow_lfm": {"typical": 190, "worst": 200}},
    {"power": {"slot_w": {"typical": 15.5, "worst": 16}}},
)
"""Figures for which the machine has no room by the typical either."""


@pytest.mark.parametrize("changed", BEYOND, ids=lambda changed: next(iter(changed)))
def test_where_the_typical_would_not_fit_either_nothing_is_said_of_it(
    changed: dict[str, Any],
) -> None:
    text = told({**NIC, **changed}, required=False)
    assert "Left out" in text
    assert "would fit" not in text


def test_two_that_are_too_much_by_the_worst_alone_are_told_as_a_sum() -> None:
    """Two of 13 W are 26 W of 25 W; two of 11 W are 22 W."""
    part = {**NIC, "power": {"slot_w": {"typical": 11, "worst": 13}}}
    text = " ".join(told(part, count=2, required=False).split())
    assert "by the worst of its class (typical 22 W would fit)" in text
    every = " ".join(told(part, every=True, count=2, required=False).split())
    assert "Parts by the worst of their classes; 11 W is typical." in every


def test_a_data_sheet_is_the_first_way_out_and_names_the_one_figure() -> None:
    part = {
        **NIC,
        "length_mm": {"typical": 150, "worst": 160},
        "power": {"slot_w": {"typical": 11, "worst": 13}},
    }
    ways = no_plan_answer(api.explain(problem(part, count=2), seconds=SECONDS)).do.ways_out
    assert [step.kind for step in ways[0].steps] == ["typical"]
    assert ways[0].steps[0].text == "see in the data sheet that nic is typical: slot_w 11 W, not 13"
    assert len(ways[0].plan.seats) == 2


@pytest.mark.parametrize(
    ("figure", "text"),
    [
        ("{typical: 12}", "power.slot_w.worst: missing"),
        ("{typical: 16, worst: 12}", "typical 16 is not below worst 12"),
        ("{typical: 12, worst: 12}", "typical 12 is not below worst 12"),
        ("{typicl: 12, worst: 16}", "did you mean typical?"),
        ("{typical: -1, worst: 16}", "-1 W is out of range; expected at least 0 W"),
        ("{typical: few, worst: 16}", "expected a number, not few"),
    ],
)
def test_a_spread_that_is_none_is_a_mistake_with_its_place(figure: str, text: str) -> None:
    with pytest.raises(InputError) as raised:
        read_inline(f"id: nic\nplug: cem x8\npower: {{slot_w: {figure}}}\n", PartSpec, "nic.yaml")
    assert text in str(raised.value)
    assert "nic.yaml:3:" in str(raised.value)


def test_what_is_typical_is_the_part_with_every_smaller_figure() -> None:
    spec = read_inline(
        "id: nic\nplug: cem x8\nlength_mm: {typical: 150, worst: 190}\n"
        "power: {slot_w: {typical: 12, worst: 16}, idle_w: 5}\n",
        PartSpec,
        "nic.yaml",
    )
    assert (spec.length_mm, spec.draw_w) == (190, 16)
    typical = at_typical(spec)
    assert (typical.length_mm, typical.draw_w) == (150, 12)
    assert typical.power is not None
    assert typical.power.idle_w == 5
    assert at_typical(typical) is typical
    dumped = spec.model_dump(mode="json", exclude_none=True)
    assert dumped["length_mm"] == {"typical": 150, "worst": 190}
    assert PartSpec.model_validate(dumped).length_mm == spec.length_mm


def with_sources(**changed: Any) -> dict[str, Any]:
    """The card, its watts and its length only typical of a class."""
    mark = "typical, ask the data sheet"
    sources = {"power": f"one card of the class ({mark})", "length_mm": mark}
    return {**NIC, "sources": sources, **changed}


def test_a_typical_figure_that_decides_is_said_with_what_it_is_held_to() -> None:
    """13 W are within 15 W, a quarter more is not; 100 mm and a quarter are within 170 mm."""
    answer = api.place(problem(with_sources(power={"slot_w": 13}, length_mm=100)), SECONDS)
    (one,) = answer.watch.typical
    assert (one.items, one.field, one.figure, one.unit) == (("nic",), "slot_w", 13, "W")
    assert one.limits == ("slot0: power_w 15 W",)
    text = " ".join(api.text(answer).split())
    assert "nic: slot_w 13 W is typical; a quarter more would not do (slot0: power_w 15 W)" in text
    assert "slot_w 13 W is typical" in api.page(
        api.sheet(problem(with_sources(power={"slot_w": 13})), seconds=SECONDS)
    )


@pytest.mark.parametrize(
    "part",
    [
        with_sources(power={"slot_w": 12}, length_mm=136),  # 15 W of 15 W, 170 mm of 170 mm
        with_sources(power={"slot_w": {"typical": 10, "worst": 13}}, length_mm=100),
        {**NIC, "power": {"slot_w": 13}, "sources": {"power": "data sheet, page 3"}},
    ],
    ids=["far from its limit", "with the worst of its class", "read in a data sheet"],
)
def test_a_figure_that_does_not_decide_or_is_not_typical_is_not_told(part: dict[str, Any]) -> None:
    answer = api.place(problem(part), SECONDS)
    assert answer.plan.seats
    assert answer.watch.typical == ()


def test_watts_that_only_the_sum_makes_too_much_are_told_too() -> None:
    """Two of 11 W are within 25 W of the supply; of 13.75 W they are not, each within its slot."""
    answer = api.place(problem(with_sources(power={"slot_w": 11}, length_mm=100), count=2), SECONDS)
    (one,) = answer.watch.typical
    assert one.items == ("nic-1", "nic-2")
    assert "supply: watts 125 W" in one.limits
