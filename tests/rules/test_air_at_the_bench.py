"""Builds too hot or too tight in practice come out as practice says; their neighbours work."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.answers.place.of_plan import unproven_facts
from slotfit.answers.place.plan import best_plan, state_all
from tests.limits import SECONDS
from tests.rules.tables import Case, problem_of

FOLDER = Path(__file__).parents[1] / "cases" / "bench"

TOLD = ("works", "rests_on", "goes", "refused", "ground")


@cache
def cases() -> dict[str, dict[str, Any]]:
    found: dict[str, dict[str, Any]] = {}
    for file in ("air.yaml", "room.yaml"):
        found |= yaml.safe_load((FOLDER / file).read_text("utf-8"))
    return found


def reasons(case: Case) -> set[str]:
    """What forbids seats, and what plans break."""
    seating, clauses = state_all(problem_of(case))
    no = {one.text for refusal in seating.refusals for one in refusal.objections}
    return no | {clause.reason.text for clause in clauses}


@pytest.mark.parametrize("name", cases())
def test_a_machine_at_the_bench_comes_out_as_practice_says(name: str) -> None:
    told = cases()[name]
    assert told["ground"]
    case = {key: value for key, value in told.items() if key not in TOLD}
    plan = best_plan(problem_of(case), SECONDS).plan
    if "refused" in told:
        assert plan is None
        assert any(told["refused"] in reason for reason in reasons(case))
    else:
        assert plan is not None
        expected = told.get("rests_on", [])
        places = {seat.part: seat.receptacle for seat in plan.seats}
        assert told.get("goes", {}).items() <= places.items()
        assert [fact.statement for fact in unproven_facts(plan)] == expected
