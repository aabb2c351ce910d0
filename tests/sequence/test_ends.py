"""Today's layout and the goal: what the file says is checked, and told with its line."""

from __future__ import annotations

import re

import pytest

from slotfit import api
from slotfit.errors import InputError
from slotfit.load.build_file import load_build_text
from slotfit.model.keys import GroupKey
from slotfit.model.problem import Problem
from tests.limits import SECONDS
from tests.sequence.rebuilds import EXAMPLES, catalog, ready

HEAD = """id: two
machines:
  - {id: lamp, board: ./lamp.yaml, base_w: 100}
  - {id: fog, board: ./fog.yaml, base_w: 100}
"""


def problem(text: str) -> Problem:
    return load_build_text(HEAD + text, catalog(), beside=EXAMPLES / "sequence-lighthouse")


def said_of(text: str) -> list[str]:
    with pytest.raises(InputError) as caught:
        api.sequence(problem(text), seconds=SECONDS)
    return str(caught.value).split("\n")


def test_a_part_that_cannot_sit_where_the_file_says() -> None:
    text = """parts: [{id: hba, part: hba-8i-sas3}]
today:
  hba: fog/slot2
"""
    (said,) = said_of(text)
    assert said == (
        "build.yaml:7:3: today.hba: hba has an x8 connector and fog/slot2 is a closed x4 slot "
        "[FIT002]; so hba cannot be in fog/slot2"
    )


def test_parts_that_cannot_all_be_where_the_file_says() -> None:
    # accel-fan-250w is two slots thick, and slot 2 is the next position: the files' own words.
    text = """parts: [{id: accelerator, part: accel-fan-250w}, {id: hba, part: hba-8i-sas3}]
today: {accelerator: lamp/slot1, hba: lamp/slot2}
"""
    (said,) = said_of(text)
    assert re.match(
        r"build.yaml:6:\d+: today(\.\w+)?: [^;]* \[FIT004\]; today's layout breaks", said
    )
    assert len(said) < 250


def test_a_setting_of_today_that_its_parts_rule_out() -> None:
    text = """parts:
  - {id: plates, part: carrier-m2x4-gen3}
  - {id: plate, part: nvme-2280-gen3, count: 4}
today: {plates: lamp/slot1, plate-1: plates/m2a, plate-2: plates/m2b}
sequence: {settings_today: {lamp/slot1: slot1.x16}}
"""
    (said,) = said_of(text)
    assert "; today's layout breaks this" in said


def test_settings_of_today_are_taken_as_written_else_as_most_works() -> None:
    text = """parts: [{id: plates, part: carrier-m2x4-gen3}, {id: plate, part: nvme-2280-gen3}]
today: {plates: lamp/slot1, plate: plates/m2a}
"""
    said = "sequence: {settings_today: {lamp/slot1: slot1.x16}}\n"
    ways = [
        ready(problem(one)).today.arrangements[GroupKey("lamp", "slot1")]
        for one in (text, text + said)
    ]
    assert ways == ["slot1.x4x4x4x4", "slot1.x16"]


def test_a_copy_of_a_drive_to_itself() -> None:
    text = """parts:
  - {id: old, part: carrier-m2x2-x8-gen3}
  - {id: new, part: carrier-m2x2-x8-gen3, pin: lamp/slot4}
  - {id: drive, part: nvme-2280-gen3, pin: new/m2a}
today: {old: lamp/slot5, drive: old/m2a}
retire: [old]
sequence: {copies: [{from: old, to: new}]}
"""
    (said,) = said_of(text)
    assert said == (
        "build.yaml:11:21: copies, old to new: drive would be copied to itself: it is on both at "
        "the end"
    )


def test_a_mirror_that_is_not_whole_enough_today() -> None:
    text = """parts: [{id: one, part: nvme-2280-gen3}, {id: two, part: nvme-2280-gen3}]
today: {one: lamp/m2_1}
sequence: {mirrors: [{parts: [one, two], keep: 2}]}
"""
    (said,) = said_of(text)
    assert said.startswith("build.yaml:7:22: mirrors, one and two: 1 of its members")


def test_no_layout_to_end_with() -> None:
    text = "parts: [{id: a, part: accel-fan-250w, count: 3, machine: lamp}]\n"
    answer = api.sequence(problem(text), seconds=SECONDS)
    assert (answer.verdict.status, answer.plan.stretches) == ("impossible", ())
    assert "no layout to end with" in answer.verdict.headline


def test_the_goal_is_the_files_where_it_names_one() -> None:
    text = """parts: [{id: hba, part: hba-8i-sas3}, {id: nic, part: nic-25g-2p}]
today: {hba: lamp/slot2, nic: lamp/slot4}
sequence: {goal: {hba: lamp/slot5}}
"""
    goal = ready(problem(text)).goal.places
    assert goal == {"hba": "lamp/slot5", "nic": "lamp/slot4"}


def test_what_a_machine_not_described_holds_comes_from_outside() -> None:
    text = """parts: [{id: hba, part: hba-8i-sas3}]
today: {hba: shed/slot7}
"""
    made = api.sequence(problem(text), seconds=SECONDS)
    (window,) = made.plan.windows
    (work,) = made.do.work
    assert (window.number, work.window, work.machine) == (1, 1, "lamp")
    assert [(move.item, move.from_, move.from_label) for move in work.in_] == [
        ("hba", None, "shed/slot7")
    ]


def test_what_is_retired_may_stay_in_a_retired_machine() -> None:
    text = """parts: [{id: hba, part: hba-8i-sas3}, {id: old, part: capture-hd-4p}]
today: {hba: lamp/slot2, old: fog/slot2}
retire: [fog, old]
"""
    made = api.sequence(problem(text), seconds=SECONDS)
    assert (made.verdict.status, made.plan.windows, len(made.plan.stretches)) == ("proven", (), 1)
