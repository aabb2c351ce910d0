"""
Drives that come and go while their machine runs.

That hot plug takes a bay or backplane, a controller and its port that are made for it, all of them:
Serial ATA 3 and SAS, hot plug (from memory); server guides mark such bays (common practice).
"""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from slotfit.answers.sequence.plan import sequence
from slotfit.answers.sequence.pull_first import pull_first
from slotfit.answers.sequence.text import as_text
from slotfit.load.build_file import load_build_text
from slotfit.model.problem import Problem
from tests.limits import SECONDS
from tests.sequence.rebuilds import catalog

YES: dict[str, Any] = {"live_swap": True}
NO: dict[str, Any] = {"live_swap": False}
UNSAID: dict[str, Any] = {}


def disks(
    port: dict[str, Any],
    first: dict[str, Any],
    second: dict[str, Any],
    **asked: Any,
) -> Problem:
    """Two disks on an adapter's cable: what its port and two bays say, and what is asked."""
    adapter = {
        "kind": "part", "id": "adapter", "class": "host-bus-adapter", "plug": "cem x8",
        "links": "x8", "generation": 3, "wiring": "controller", "thickness": 1, "cooling": "none",
        "power": {"slot_w": 8},
        "receptacles": [{"id": "p0", "form": "sff-8643", "bus": "sas", "lanes": 4, "generation": 3}
                        | {"run_mm": 300} | port],
    }  # fmt: skip
    slot = {"id": "slot1", "form": "cem", "width": 8, "lanes": 8, "generation": 3, "splits": []}
    bays = [{"id": "b1", "size": "3.5"} | first, {"id": "b2", "size": "3.5"} | second]
    build = {
        "kind": "build", "id": "shelf",
        "machines": [{
            "id": "box", "base_w": 50,
            "board": {"kind": "board", "id": "plank", "processors": [{"id": "cpu0"}],
                      "receptacles": [slot]},
            "chassis": {"kind": "chassis", "id": "flat", "bays": bays},
        }],
        "parts": [
            {"id": "hba", "part": adapter},
            {"id": "cable", "part": "cable-8643-4sas-500"},
            {"id": "disk", "part": "hdd-sas-3.5-7200", "count": 2},
        ],
        "today": {"hba": "slot1", "cable": "hba/p0", "disk-1": "cable/end0"},
    }  # fmt: skip
    return load_build_text(yaml.safe_dump(build | asked), catalog(), "shelf.yaml")


CASES = {
    "bay and port say yes": (YES, YES, YES, 0, ""),
    "the port does not say": (UNSAID, YES, YES, 1, "come and go in p0 of hba while"),
    "the bays do not say": (YES, UNSAID, UNSAID, 1, "come and go in the bays of flat while"),
    "nobody says": (UNSAID, UNSAID, UNSAID, 1, "come and go in p0 of hba and the bays of flat"),
    "the port says no": (NO, UNSAID, UNSAID, 1, ""),
    "the bays say no": (UNSAID, NO, NO, 1, ""),
    "one bay of two does": (YES, YES, UNSAID, 1, "come and go in the bays of flat while"),
}


@pytest.mark.parametrize("case", CASES)
def test_a_disk_is_added_while_the_machine_runs_where_all_say_so(case: str) -> None:
    port, first, second, off, asked = CASES[case]
    answer = sequence(disks(port, first, second), seconds=SECONDS)
    assert answer.verdict.status == "proven"
    assert [len(window.off) for window in answer.plan.windows] == [off]
    text = " ".join(as_text(answer, every=True).split())
    assert ("would save switching off" in text) == bool(asked)
    assert asked in text
    assert ("nothing has to be switched off" in text) == (not off)
    assert ("pull every power cord" in text) == bool(off)
    assert ("Open no cover" in text) == (not off)


def test_a_disk_is_taken_out_while_the_machine_runs() -> None:
    for said, off in ((YES, 0), (UNSAID, 1)):
        gone = disks(
            YES, said, said, retire=["disk-1"], sequence={"goal": {"disk-2": "cable/end1"}}
        )
        answer = sequence(gone, seconds=SECONDS)
        assert [len(window.off) for window in answer.plan.windows] == [off]


MOVED: dict[str, Any] = {"goal": {"disk-1": "cable/end2"}}
NEEDED = {"services": [{"id": "files", "needs": ["disk-1"]}]}


def test_a_disk_that_nothing_needs_changes_bays_while_the_machine_runs() -> None:
    """What a service needs is out for a moment, so its service is down as if it were off."""
    for asked, off in ((MOVED, 0), (MOVED | NEEDED, 1)):
        answer = sequence(disks(YES, YES, YES, sequence=asked), seconds=SECONDS)
        assert [len(window.off) for window in answer.plan.windows] == [off]


def test_a_disk_that_goes_in_first_is_told_whether_anything_is_switched_off() -> None:
    for said, words in ((YES, True), (UNSAID, False)):
        headline = pull_first(disks(said, YES, YES), "disk-2", SECONDS).verdict.headline
        assert "nothing has to be pulled" in headline
        assert ("while the machine runs" in headline) == words
