"""Builds that bite: what must come of each was worked out by hand (see builds.yaml)."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.answers.place.plan import best_plan
from slotfit.hardware.flow import short_by_link
from slotfit.model.plan import Plan, Status
from tests.limits import SECONDS
from tests.rules.tables import KEYS, Case, problem_of

EXPECTED = frozenset(("answer", "sits", "lanes", "out", "short", "rests_on", "why"))


@cache
def builds() -> dict[str, Any]:
    text = Path(__file__).with_name("builds.yaml").read_text("utf-8")
    found: dict[str, Any] = yaml.safe_load(text)
    return found


@pytest.mark.parametrize("name", builds())
def test_build_comes_out_as_worked_out_by_hand(name: str) -> None:
    case = builds()[name]
    assert set(case) <= KEYS | EXPECTED, "a key that nothing looks at"
    assert case["why"], "an expectation without a source"
    problem = problem_of(case)
    placed = best_plan(problem, SECONDS)
    if case.get("answer") == "impossible":
        assert placed.status is Status.IMPOSSIBLE
        return
    assert placed.status is Status.PROVEN
    assert placed.plan is not None
    check(case, placed.plan)
    if "short" in case:
        low, high = case["short"]
        short = sum(short_by_link(problem, placed.plan.seats).values())
        assert low <= short / 1000 <= high


def check(case: Case, plan: Plan) -> None:
    """The plan against what the case expects of it."""
    seats = {seat.part: seat for seat in plan.seats}
    for part, receptacle in case.get("sits", {}).items():
        assert seats[part].receptacle == receptacle
    for part, lanes in case.get("lanes", {}).items():
        assert [link.lanes for link in seats[part].links] == lanes
    out = case.get("out", [])
    assert (len(plan.left_out) if isinstance(out, int) else list(plan.left_out)) == out
    statements = [fact.statement for fact in plan.facts]
    if case.get("rests_on") == []:
        assert statements == []
    for words in case.get("rests_on", []):
        assert any(words in statement for statement in statements), statements
