"""Builds as they fail in practice for want of volts, watts and plugs, and neighbours that work."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.answers.place.plan import best_plan
from slotfit.model.plan import Status
from tests.limits import SECONDS
from tests.rules.tables import problem_of

TABLE = Path(__file__).parents[1] / "cases" / "bench" / "power.yaml"
CASES: dict[str, dict[str, Any]] = yaml.safe_load(TABLE.read_text("utf-8"))["cases"]


@pytest.mark.parametrize("name", CASES)
def test_it_is_answered_as_it_turns_out_at_the_bench(name: str) -> None:
    case = CASES[name]
    assert case["ground"]
    found = best_plan(problem_of(case), SECONDS)
    if case["answer"] == "no":
        assert found.status is Status.IMPOSSIBLE
        return
    assert found.plan is not None
    said = [fact.statement for fact in found.plan.facts]
    if case["answer"] == "yes":
        assert said == []
    else:
        assert len([one for one in said if case["about"] in one]) == 1
        assert len(said) == 1
