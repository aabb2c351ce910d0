"""Which other part is worth asking about: known to be less of what stands in the way."""

from __future__ import annotations

from typing import Any

import pytest

from slotfit.answers.no_plan.shop import RELIEVES, does_same_job, relieves
from slotfit.model.part import PartSpec
from slotfit.rulebook import BY_ID

BASE: dict[str, Any] = {
    "id": "old",
    "class": "network-card",
    "plug": "cem x8",
    "links": "x8",
    "generation": 3,
    "thickness": 2,
    "length_mm": 200,
    "height_mm": 111.15,
    "bracket": "full",
    "cooling": "passive",
    "airflow_lfm": 200,
    "demand": 5,
    "power": {"slot_w": 20, "aux": ["pcie-6"], "aux_w": 50},
}


def part(**said: Any) -> PartSpec:
    """The card with some facts changed; None takes a fact away."""
    facts = {**BASE, **said}
    return PartSpec.model_validate(
        {key: value for key, value in facts.items() if value is not None}
    )


OLD = part()

# Rule, what differs of the other part, whether it may get around the rule's reason.
CASES: list[tuple[str, dict[str, Any], bool]] = [
    ("FIT006", {"length_mm": 199.9}, True),
    ("FIT006", {"length_mm": 200}, False),
    ("FIT006", {"length_mm": None}, False),
    ("COOL003", {"length_mm": 100}, True),
    ("FIT007", {"height_mm": 68.9}, True),
    ("FIT007", {"height_mm": None}, False),
    ("FIT004", {"thickness": 1}, True),
    ("FIT005", {"thickness": 2}, False),
    ("FIT005", {"thickness": None}, False),
    ("FIT002", {"plug": "cem x4", "links": "x4"}, True),
    ("FIT002", {"plug": "cem"}, False),
    ("FIT008", {"bracket": "both"}, True),
    ("FIT009", {"plug": "cem x4", "links": "x4"}, True),
    ("FIT009", {}, False),
    ("POW005", {"plug": "opening"}, True),
    ("POW005", {"plug": "cem x4", "links": "x4"}, False),
    ("POW001", {"power": {"slot_w": 10}}, True),
    ("POW001", {"power": {"slot_w": 20}}, False),
    ("POW001", {"power": None}, False),
    ("POW003", {"power": {"slot_w": 25}}, True),
    ("POW003", {"power": {"slot_w": 25, "aux": ["pcie-6"], "aux_w": 44}}, True),
    ("POW003", {"power": {"slot_w": 25, "aux": ["pcie-6"], "aux_w": 45}}, False),
    ("POW003", {"power": {"slot_w": 25, "aux": ["pcie-6"]}}, False),
    ("POW003", {"power": None}, False),
    ("POW004", {"power": {"slot_w": 25}}, True),
    ("POW004", {"power": {"slot_w": 25, "aux": ["pcie-6"]}}, False),
    ("COOL002", {"cooling": "fan", "airflow_lfm": None}, True),
    ("COOL002", {"airflow_lfm": 150}, True),
    ("COOL002", {"airflow_lfm": None}, False),
    ("COOL002", {"cooling": None, "airflow_lfm": None}, False),
    ("LANE003", {"links": "x4"}, True),
    ("LANE003", {}, False),
    ("LANE004", {"generation": 4}, True),
    ("LANE004", {"generation": None}, False),
]


@pytest.mark.parametrize(("rule", "said", "may"), CASES)
def test_what_nobody_said_is_no_gain(rule: str, said: dict[str, Any], may: bool) -> None:
    assert relieves(rule, OLD, part(id="new", **said)) == may


def test_every_rule_that_is_asked_again_is_a_rule() -> None:
    assert set(RELIEVES) <= set(BY_ID)


@pytest.mark.parametrize(
    ("said", "same"),
    [
        ({"id": "new"}, True),
        ({"id": "new", "demand": 5.4}, True),  # within a tenth
        ({"id": "new", "demand": 6}, False),
        ({"id": "new", "class": "host-bus-adapter"}, False),
        ({}, False),  # it is the part itself
    ],
)
def test_the_same_job_is_of_its_class_and_moves_as_much(said: dict[str, Any], same: bool) -> None:
    assert does_same_job(OLD, part(**said)) == same
