"""
Invented manuals, each made into a board file with the guide and lint alone.

The expectations are read from the manuals (the `.txt` beside each file) and from what the hardware
does, never from slotfit: a link starts at a segment's first lane; a card edge is 33 mm longer at
x16 than at x8 (open drawing of card outlines, measured: 84.30 and 51.30 mm).
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from slotfit.answers.catalog.lint import report_on
from slotfit.load.catalog import standard_catalog
from tests.catalog_command.typed import typed

HERE = Path(__file__).parent
CATALOG = standard_catalog()

SLOTS = {"slot1", "slot2", "slot3", "slot4"}

NOT_SAID: dict[str, dict[str, set[str]]] = {
    "kettle": {
        "isolation": {"pcie1", "m2a", "m2b", "m2c"},
        "from": {"m2c"},
        "drive_lengths": {"m2c"},
        "speed_setting": {"pcie1", "m2a", "m2b", "m2c"},
    },
    "lantern": {
        "isolation": {*SLOTS, "nvme1", "nvme2"},
        "power_w": SLOTS,
        "splits": {"slot3"},
        "label_order": {"slot1"},
        "run_mm": {"nvme1", "nvme2"},
        "speed_setting": {*SLOTS, "nvme1", "nvme2"},
    },
    "bellows": {
        "isolation": {*SLOTS, "slot5", "slot6"},
        "power_w": {*SLOTS, "slot5", "slot6"},
        "splits": {"slot2", "slot3"},
        "proof": {"port Slot 4 bifurcation: x8x8"},
        "behind_mm": {"slot1"},
        "speed_setting": {*SLOTS, "slot5", "slot6"},
    },
    "sconce": {
        "isolation": {"m2b", "m2c"},
        "lowest_fan_rpm": {""},
        "speed_setting": {"pcie1", "pcie2", "m2a", "m2b", "m2c"},
    },
}
"""What each manual does not say."""


@pytest.mark.parametrize("board", NOT_SAID)
def test_lint_finds_no_fault_and_names_what_the_manual_leaves_out(board: str) -> None:
    report = report_on(HERE / f"{board}.yaml", CATALOG)
    assert report.is_clean, report.remarks
    found: dict[str, set[str]] = {}
    for one in report.remarks:
        thing, _, field = one.path.rpartition(": ")
        found.setdefault(field, set()).add(thing)
    assert found == NOT_SAID[board]


VERDICTS: list[tuple[str, str, str, str, str]] = [
    # part, board, slot, verdict, what must stand in the answer
    # a jumper gives x8+x8: links that start at lanes 0 and 8 train, the other two do not
    ("carrier-m2x2-x16-apart", "kettle", "pcie1", "works once set", '"JP4 on 2-3"'),
    ("carrier-m2x4-gen4", "kettle", "pcie1", "works in part", "2 of 4 drives"),
    # each drive starts a segment of x4x4x4x4, and the setting has the menu's words
    ("carrier-m2x4-gen4", "lantern", "slot1", "works once set", '"CPU1 port A (slot 1): x4x4x4x4"'),
    # the menu divides the port's sixteen lanes; eight of them are wired to the slot
    (
        "carrier-m2x2-x8-gen4",
        "lantern",
        "slot2",
        "works once set",
        '"CPU1 port B (slot 2): x4x4x4x4"',
    ),
    # the manual says nothing of divisions here
    ("carrier-m2x2-x8-gen4", "lantern", "slot3", "not known", "perhaps 2 of 2"),
    # an open end, but 20 mm of room for 33 mm of edge
    ("accel-fan-150w", "lantern", "slot3", "does not work", "33 mm over the end"),
    # x4x4x4x4 is refuted; x8x8 was never seen to work
    ("carrier-m2x4-gen3", "bellows", "slot4", "works in part", "1 of 4 drives"),
    # eight lanes move over when a card sits there
    ("nic-10g-2p", "bellows", "slot6", "works", "slot4 then has x8 instead of x16"),
    ("nic-100g-2p", "bellows", "slot6", "does not work", "closed x8 slot"),
    ("nic-10g-1p", "bellows", "slot5", "does not work", "closed x1 slot"),
    # four lanes of connector, one of wire
    ("nic-10g-1p", "bellows", "slot1", "works", "gen 2 x1"),
    # which family sits in the socket, and which firmware, decides over quarters and a socket
    ("carrier-m2x4-gen4", "sconce", "pcie1", "not known", "For certain it works only in part"),
    ("nvme-2280-gen4", "sconce", "m2b", "not known", "cpu0 of machine holds family-a"),
    # eight lanes with either family
    ("nic-100g-2p", "sconce", "pcie1", "works", "gen 3 x8"),
    # two lanes of a socket for four
    ("nvme-2280-gen4", "sconce", "m2c", "works", "gen 3 x2"),
    # 20 mm behind an open x4 slot: an x8 edge stands out by 17 mm (51.30 less 34.30), an x16 by 50
    ("nic-10g-2p", "sconce", "pcie2", "works", "gen 3 x4"),
    ("nic-100g-2p", "sconce", "pcie2", "does not work", "over the end"),
    # one port of the controller may or may not serve five drives
    ("port-multiplier-5-sata", "sconce", "sata1", "not known", "works with a port multiplier"),
    # a header of four contacts may not govern a fan of three
    ("fan-120-3-contacts", "sconce", "fan1", "works", "govern a fan of 3 contacts"),
]


@pytest.mark.parametrize(("part", "board", "slot", "word", "says"), VERDICTS)
def test_the_file_answers_as_the_manual_would(
    part: str, board: str, slot: str, word: str, says: str
) -> None:
    drives = ["--with", "nvme-2280-gen4"] if part.startswith("carrier") else []
    asked = ("check", part, str(HERE / f"{board}.yaml"), "--slot", slot, *drives)
    (verdict,) = json.loads(typed(*asked, "--json").out)["plan"]["receptacles"]
    assert verdict["status"] == word
    assert says in " ".join(typed(*asked).out.split())


def test_slots_of_an_absent_processor_are_dark() -> None:
    asked = ("check", "nic-10g-2p", str(HERE / "lantern.yaml"), "--slot", "slot4")
    assert typed(*asked).code == 4
    alone = typed(*asked, "--processors", "cpu0")
    assert alone.code == 1
    assert "cpu1, which is not fitted" in " ".join(alone.out.split())


@pytest.mark.parametrize("board", NOT_SAID)
def test_every_slot_of_the_manual_is_in_the_file(board: str) -> None:
    """Names as the manual prints them: PCIE1, M2A, SATA1, Slot 3, NVME2, or a row of its table."""
    manual = (HERE / f"{board}.txt").read_text("utf-8")
    names = set(re.findall(r"\b(PCIE\d|M2[A-Z]|SATA\d|NVME\d|Slot \d)\b", manual))
    names |= {f"slot{number}" for number in re.findall(r"^  (\d)  ", manual, re.MULTILINE)}
    shown = typed("catalog", "show", str(HERE / f"{board}.yaml")).out.lower()
    assert len(names) >= 6
    assert {name for name in names if name.lower().replace(" ", "") not in shown} == set()
