"""Cables, bays and ports as they fail in practice: connectors.yaml, ports.yaml in cases/bench."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.answers.place.of_plan import shared_links
from slotfit.answers.place.plan import best_plan
from slotfit.engine.seats import seat_all
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.rule import PlanRule
from slotfit.rulebook import RULES, SEAT_RULES
from tests.limits import SECONDS

TESTS = Path(__file__).parents[1]

ABOUT = {
    *("CAB002", "CAB003", "CAB004", "CAB005", "FIT001", "FIT012", "FIT024", "LANE017", "LANE018"),
    *("CAB006", "CAB007", "CAB008", "CAB009", "COOL005", "COOL008", "ISO006", "POW018"),
}
"""Rules that the table is about; a plan may rest on what others ask."""


@cache
def table() -> dict[str, Any]:
    bench = TESTS / "cases" / "bench"
    texts = [(bench / f"{name}.yaml").read_text("utf-8") for name in ("connectors", "ports")]
    return {name: case for text in texts for name, case in yaml.safe_load(text).items()}


def problem_of(case: dict[str, Any]) -> Problem:
    slots = [
        {"id": f"slot{n}", "form": "cem", "width": 16, "lanes": 16, "generation": 4, "splits": []}
        for n in (1, 2)
    ]
    board = {
        "kind": "board",
        "id": "bench",
        "processors": [{"id": "cpu0"}],
        "receptacles": [*slots, *case.get("board", [])],
    }
    supply = {"kind": "power-supply", "id": "supply", "watts": 900} | case.get("supply", {})
    plugs = {"plugs": {"sata-power": 20, "molex-4": 6}}
    machine = {"id": "m", "board": board, "base_w": 50, "power_supply": supply | plugs}
    if "bays" in case:
        sizes = {"kind": "chassis", "id": "case", "bays": case["bays"]}
        machine["chassis"] = sizes | {"card_length_mm": 330, "card_height_mm": 120}
    said = {"kind": "build", "id": "case", "machines": [machine], "parts": case["given"]}
    said |= {"outside": case.get("outside", [])}
    return load_build_text(json.dumps(said), Catalog((TESTS.parent / "catalog",)), "case.yaml")


def refusals(problem: Problem) -> str:
    """Everything that any rule has against anything in the build."""
    seating = seat_all(problem, SEAT_RULES)
    said = [one.text for refusal in seating.refusals for one in refusal.objections]
    for rule in RULES:
        if isinstance(rule, PlanRule):
            said += [clause.reason.text for clause in rule.state(problem, seating)]
    return "\n".join(said)


@pytest.mark.parametrize("name", table())
def test_what_fails_at_the_bench_fails_here_and_its_neighbour_works(name: str) -> None:
    case = table()[name]
    assert case["ground"], "an expectation without a source"
    problem = problem_of(case)
    found = best_plan(problem, SECONDS)
    if case.get("answer") == "impossible":
        assert found.status is Status.IMPOSSIBLE
        assert case["because"] in refusals(problem)
        return
    assert found.status is Status.PROVEN
    assert found.plan is not None
    asked = [fact.statement for fact in found.plan.facts if fact.rule in ABOUT]
    assert len(asked) == len(case["rests_on"]), asked
    shared = {one.name: one.capacity_mb_s for one in shared_links(problem, found.plan)}
    carried = {name: round(mb_s / 1000, 1) for name, mb_s in shared.items()}
    assert {**carried, **case.get("carries_gb_s", {})} == carried
    for words in case["rests_on"]:
        assert any(words in statement for statement in asked), asked
