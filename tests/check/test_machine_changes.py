"""
What would help is offered where the machine is the cause: bracket, supply, processor, chassis.

Ways out of a build know these changes; `check` of the same part in the same machine offers what
they do, and what it offers comes true when it is done.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.docs.console import run

KINDS = {"bracket", "supply", "processors", "chassis"}

NARROW = "rack-2u-low-profile"
"""240 mm long and 70 mm high inside: no card of 305 mm goes in, nor one with a full bracket."""

MACHINES: dict[str, tuple[str, dict[str, str], set[str]]] = {
    "long and high": ("accel-fan-320w-gen4", {"board": "workstation", "chassis": NARROW},
                      {"chassis"}),
    "high": ("nic-10g-4p", {"board": "server-1p", "chassis": NARROW}, {"chassis"}),
    "no such plug": ("accel-fan-450w-gen4", {"board": "workstation", "chassis": "tower-large",
                     "power_supply": "supply-450w-sfx"}, {"supply"}),
    "room enough": ("nic-10g-1p", {"board": "workstation", "chassis": "tower-large"}, set()),
    "another form": ("nvme-e1l-gen4", {"board": "workstation", "chassis": "tower-large"}, set()),
}  # fmt: skip
"""What is asked -> kinds of change to the machine that help; sizes as in the catalog's files."""


def build_of(part: str, machine: dict[str, str], folder: Path) -> Path:
    path = folder / "build.yaml"
    written = {"id": "b", "machines": [{"id": "box", **machine}], "parts": [
        {"id": "card", "part": part}]}  # fmt: skip
    path.write_text(json.dumps(written), "utf-8")
    return path


def answered(verb: str, *words: str) -> dict[str, Any]:
    _, printed = run(["slotfit", verb, *words, "--json"])
    answer: dict[str, Any] = json.loads("\n".join(printed))
    return answer


def offered(path: Path) -> list[dict[str, Any]]:
    return [one for one in answered("check", "card", str(path))["do"]["advice"]
            if one["kind"] in KINDS]  # fmt: skip


@pytest.mark.parametrize("name", MACHINES)
def test_what_is_in_the_way_decides_what_is_offered_and_it_comes_true(
    name: str, tmp_path: Path
) -> None:
    part, machine, kinds = MACHINES[name]
    advice = offered(build_of(part, machine, tmp_path))
    assert {one["kind"] for one in advice} == kinds
    for one in advice:
        field = {"supply": "power_supply"}.get(one["kind"], one["kind"])
        done = build_of(part, machine | {field: one["part"]}, tmp_path)
        found = answered("check", "card", str(done), "--slot", one["receptacle"])
        assert found["verdict"]["status"] == one["status"]


@pytest.mark.parametrize("name", [name for name, case in MACHINES.items() if case[2]])
def test_ways_out_know_no_change_to_the_machine_that_check_does_not(
    name: str, tmp_path: Path
) -> None:
    part, machine, kinds = MACHINES[name]
    out = answered("place", str(build_of(part, machine, tmp_path)))
    ways = [one["steps"] for one in out["explanation"]["do"]["ways_out"]]
    alone = {step["kind"] for (step, *more) in ways if not more}
    assert alone & KINDS
    assert alone & KINDS <= kinds


def test_a_processor_is_offered_for_a_slot_that_is_dead_without() -> None:
    """slot2 hangs on the second processor: catalog/boards/server-2p.yaml."""
    words = ("nic-1g-2p", "server-2p", "--processors", "cpu0", "--slot", "slot2")
    told = answered("check", *words)["do"]["advice"]
    assert "fit CPU2 in machine" in "".join(one["text"] for one in told).replace("Fit", "fit")


def test_what_sits_there_today_is_not_driven_out_by_what_is_offered(tmp_path: Path) -> None:
    """A chassis with fewer openings would do for the card alone."""
    path = build_of("accel-fan-320w-gen4", {"board": "workstation", "chassis": NARROW}, tmp_path)
    build = json.loads(path.read_text("utf-8"))
    build["parts"].append({"id": "old", "part": "display-low-profile"})
    build["today"] = {"old": "slot7"}
    path.write_text(json.dumps(build), "utf-8")
    for one in offered(path):
        build["machines"][0][one["kind"]] = one["part"]
        path.write_text(json.dumps(build), "utf-8")
        assert answered("check", "old", str(path), "--slot", "slot7")["verdict"]["status"] in (
            "works", "works once set")  # fmt: skip
