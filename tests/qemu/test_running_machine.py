"""A real kernel on an emulated machine: collected inside, held against its plan outside."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from slotfit.read.join import join
from slotfit.read.sources import readings_of
from tests.qemu.machine import PORTS, SECONDS, Machine, run

pytestmark = pytest.mark.long


@pytest.fixture(scope="module")
def as_built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return run(Machine(), tmp_path_factory.mktemp("built") / "machine")


@pytest.fixture(scope="module")
def as_botched(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One drive of the carrier is missing, and the network card is in the wrong slot."""
    wrong = Machine(network="slot4", carrier_drives=1)
    return run(wrong, tmp_path_factory.mktemp("botched") / "machine")


# Of the emulator's errors only those that are not corrected reach the kernel.
ERRORS = ("pcie_aer_inject_error slot2 COMP_TIME",)
CHANGED = {
    "two cards changed places": (Machine(drive="slot2", network="slot1"), "changed-places",
                                 "changed-places"),
    "a processor less": (Machine(nodes=1), "processor-missing", "processor-gone"),
    "errors of a port": (Machine(errors=ERRORS), "errs", "link-power-saving"),
}  # fmt: skip
"""A machine with one thing wrong, and what is said of it first."""


@pytest.fixture(scope="module")
def described(as_built: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("described") / "fenwick"
    done = slotfit("read", as_built, "-o", folder)
    assert done.returncode == 0, done.stderr
    return folder


def slotfit(*arguments: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "slotfit", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=SECONDS)


def verified(described: Path, tar: Path) -> tuple[int, dict[str, Any]]:
    done = slotfit("verify", described / "build.yaml", tar, "--json")
    assert done.stdout, done.stderr
    return done.returncode, json.loads(done.stdout)


def test_ports_nodes_and_parts_are_those_of_the_command_line(as_built: Path) -> None:
    seen = join(readings_of(as_built))
    found = {one.ports[0].slot_number: one for one in seen.receptacles}
    for port in PORTS:
        one = found[port.number]
        link = one.ports[0].link
        assert link
        assert link.lanes_max == port.width
        # The option's speed in GT/s (2_5, 5, 8, 16) is PCIe generation 1 to 4 (PCIe Base, rates).
        assert link.generation_max == {"8": 3, "16": 4}[port.speed]
        assert (one.node, one.processor.value, one.joined_by) == (port.node, port.node, "address")
    kinds = {number: [part.kind for part in one.parts] for number, one in found.items()}
    assert kinds == {1: ["endpoint"], 2: ["endpoint"], 3: ["carrier"], 4: []}
    assert [len(part.inside) for part in found[3].parts] == [2]


def test_nothing_secret_leaves_the_machine(as_built: Path) -> None:
    whole = as_built.read_bytes()
    assert b"SECRET" not in whole
    assert b"52:54:00:12:34:56" not in whole


def test_the_machine_runs_as_its_own_plan_says(described: Path, as_built: Path) -> None:
    code, view = verified(described, as_built)
    assert (view["do"]["faults"], view["watch"]["open"]) == ([], [])
    assert (code, view["verdict"]["good"]) == (0, True)


def test_a_missing_drive_and_a_card_in_the_wrong_slot_are_named(
    described: Path, as_botched: Path
) -> None:
    code, view = verified(described, as_botched)
    assert code == 1
    faults = {one["kind"]: one for one in view["do"]["faults"]}
    assert set(faults) == {"fewer-drives", "elsewhere"}
    assert "network-1" in faults["elsewhere"]["items"]
    assert "SLOT4" in faults["elsewhere"]["text"]
    assert "not in CPU0 SLOT2" in faults["elsewhere"]["text"]
    assert faults["fewer-drives"]["text"].startswith("carrier-1 in CPU1 SLOT3")
    assert "1 of 2 drives" in faults["fewer-drives"]["text"]
    assert all(one["causes"] for one in faults.values())


@pytest.mark.parametrize("name", CHANGED)
def test_one_thing_that_went_wrong_is_told_first_and_alone(
    name: str, described: Path, tmp_path: Path
) -> None:
    machine, kind, cause = CHANGED[name]
    _, view = verified(described, run(machine, tmp_path / "machine"))
    found = [*view["do"]["faults"], *view["watch"]["open"], *view["more"]["no_fault"]]
    assert [(one["kind"], [c["cause"] for c in one["causes"][:1]]) for one in found] == [
        (kind, [cause])
    ]
