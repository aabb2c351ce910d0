"""Which other part does the same job, as far as descriptions tell."""

from __future__ import annotations

from typing import Any

import pytest

from slotfit.answers.no_plan.shop import does_same_job
from slotfit.model.part import PartSpec

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
