"""Builds whose processor or firmware decides (tests/cases/bench/processor.yaml)."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.answers.place.of_plan import shared_links
from slotfit.answers.place.plan import best_plan, state_all
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem
from tests.limits import SECONDS

FILE = Path(__file__).parents[1] / "cases" / "bench" / "processor.yaml"
RULES = ("CPU002", "LANE006", "LANE007", "LANE019")


@cache
def table() -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load(FILE.read_text("utf-8"))
    return found


def built(case: dict[str, Any]) -> Problem:
    """The build of a case."""
    board: dict[str, Any] = {"kind": "board", "id": "board"}
    board["processors"] = case.get("sockets", table()["sockets"])
    slot = {"id": "slot1", "form": "cem", "width": 16, "power_w": 75} | case.get("slot", {})
    slot |= {"generation": 4} if "slot" in case else {}
    board["receptacles"] = [slot]
    if "slot" not in case:
        board["receptacles"] += [{"id": "m2_2", "form": "m2-m", "drive_lengths": [80]}]
        group = {"id": "pe1", "from": "cpu0", "generation": 4, "arrangements": table()["ways"]}
        board["lane_groups"] = [group]
    if "uplinks" in case:
        hub = {"id": "chipset", "from": "cpu0", "generation": 3, "lanes": 4}
        board["hubs"] = [hub | {"uplinks": case["uplinks"]}]
    said = {key: case[key] for key in ("processors", "firmware") if key in case}
    parts = [
        {"id": name, "part": {"kind": "part", "id": f"some-{name}"} | table()["parts"][name]} | wish
        for name, wish in case["put"].items()
    ]
    machines = [{"id": "box", "board": board} | said]
    build = {"kind": "build", "id": "case", "machines": machines, "parts": parts}
    return load_build_text(json.dumps(build), Catalog(()))


@pytest.mark.parametrize("name", table()["cases"])
def test_the_processor_fitted_decides(name: str) -> None:
    case = table()["cases"][name]
    problem = built(case)
    plan = best_plan(problem, SECONDS).plan
    assert (plan is not None) == case["plan"]
    if plan is None:
        refused = [no.text for one in state_all(problem)[0].refusals for no in one.objections]
        assert any(case.get("because", "") in text for text in refused)
        return
    trains = {seat.part: sum(link.lanes for link in seat.links) for seat in plan.seats}
    assert {**trains, **case.get("trains", {})} == trains
    carried = {
        one.name: (round(one.capacity_mb_s / 1000, 1), one.slower is None)
        for one in shared_links(problem, plan)
    }
    expected = {name: tuple(said) for name, said in case.get("carries_gb_s", {}).items()}
    assert {**carried, **expected} == carried
    facts = [fact.statement for fact in plan.facts if fact.rule in RULES]
    assert facts == case.get("rests_on", facts)
