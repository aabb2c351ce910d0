"""Builds whose guests take too much along (tests/cases/bench/isolation.yaml)."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.answers.place.plan import best_plan, state_all
from slotfit.errors import InputError
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem
from tests.limits import SECONDS

FILE = Path(__file__).parents[1] / "cases" / "bench" / "isolation.yaml"

SLOT = {"form": "cem", "width": 16, "lanes": 16, "splits": [], "generation": 4, "power_w": 75}


@cache
def table() -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load(FILE.read_text("utf-8"))
    return found


def entry(name: str, said: dict[str, Any]) -> dict[str, Any]:
    """One part of the build file."""
    wish = {key: value for key, value in said.items() if key not in ("at", "part", "like")}
    like = said.get("like", name)
    part = {"kind": "part", "id": f"some-{name}"} | table()["parts"][like] | said.get("part", {})
    return {"id": name, "pin": said["at"], "part": part} | wish


def built(case: dict[str, Any]) -> Problem:
    """The build of a case."""
    board = {
        "kind": "board",
        "id": "board",
        "processors": [{"id": "cpu0"}],
        "hubs": [{"id": "chipset", "from": "cpu0", "generation": 4, "lanes": 4}],
        "devices": case.get("devices", table()["devices"]),
        "receptacles": [
            {"id": "slot1", "from": "cpu0", "isolation": "slot1"} | SLOT | case.get("slot1", {}),
            {"id": "slot2", "from": "chipset", "isolation": "chipset"} | SLOT,
            {"id": "sata1", "form": "sata", "from": "chipset", "isolation": "chipset"},
        ],
    }
    keeps = case.get("keeps", table()["keeps"])
    machine = {"id": "box", "board": board, "keeps": keeps}
    parts = [entry(name, said) for name, said in case["put"].items()]
    return load_build_text(
        json.dumps({"kind": "build", "id": "case", "machines": [machine], "parts": parts}),
        Catalog(()),
    )


@pytest.mark.parametrize("name", table()["cases"])
def test_a_guest_takes_its_whole_group_along(name: str) -> None:
    case = table()["cases"][name]
    problem = built(case)
    plan = best_plan(problem, SECONDS).plan
    assert (plan is not None) == case["plan"]
    if plan is None:
        seating, clauses = state_all(problem)
        refused = [no.text for one in seating.refusals for no in one.objections]
        assert any(
            case["because"] in text for text in [*refused, *(c.reason.text for c in clauses)]
        )
        return
    facts = [fact.statement for fact in plan.facts if fact.rule.startswith("ISO")]
    assert facts == case["rests_on"]


def test_what_stays_with_the_host_goes_to_no_guest() -> None:
    case = {"keeps": ["nic"], "put": {"nic": {"at": "slot1", "guest": "web"}}}
    with pytest.raises(InputError, match="nic stays with the host here and goes to guest web"):
        built(case)


def test_what_stays_is_known() -> None:
    case = {"keeps": ["stat"], "put": {"nic": {"at": "slot1"}}}
    with pytest.raises(InputError, match="no part or on-board device stat; did you mean sata"):
        built(case)


def test_another_board_has_other_devices_and_other_firmware() -> None:
    problem = built({"put": {"nic": {"at": "slot1"}}})
    machine = problem.machines[0]
    bare = machine.board.model_copy(update={"devices": ()})
    entry = machine.entry.model_copy(update={"firmware": "2.10"})
    moved = replace(machine, entry=entry).entry_on(bare)
    assert (moved.keeps, moved.firmware) == (None, None)
    assert replace(machine, entry=entry).entry_on(machine.board) is entry
