"""The sheet's steps: everything in the plan is done once, in the order of the work."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slotfit.read.lspci_text import parse_text
from slotfit.sheet.sheet import plan_hash
from slotfit.sheet.steps import SheetSection, SheetStep, leftovers, line_of, steps_of
from tests.render.hand_answer import empty_answer, hand_answer, link, with_plan


def sections() -> dict[str, SheetSection]:
    return {section.id: section for section in steps_of(hand_answer())}


def texts(section: str) -> list[str]:
    return [step.text for step in sections()[section].steps]


def test_the_work_goes_from_cautions_to_the_first_start() -> None:
    """Firmware needs power, so it comes before the step that pulls the cord."""
    assert list(sections()) == [
        "cautions", "settings", "open", "jumpers", "bench", "parts", "cables", "start",
    ]  # fmt: skip
    assert "every power cord" in texts("open")[0]


def test_who_has_no_setting_to_choose_switches_off_all_the_same() -> None:
    answer = hand_answer()
    answer = replace(answer, do=replace(answer.do, settings=(), speeds=()))
    assert [section.id for section in steps_of(answer)][:2] == ["cautions", "open"]


def test_settings_to_change_come_first_and_say_what_is_unproven() -> None:
    change, keep, hold = sections()["settings"].steps
    assert change.text == "Choose “PE1: x4x4x4” (now PE1: x16)"
    assert change.details == (
        "SLOT1 gets x4+x4+x4",
        "Listed in the menu only: nobody has said that it works.",
    )
    assert keep.text == "It stays: “PE2: x4”"
    assert keep.details == ("SLOT2 gets x4",)
    assert hold.text == "Set “Slot 2 link speed” to generation 3"
    assert hold.details == ("SLOT2: the wires to nic carry no more, and a faster link errs",)


def test_what_presence_decides_is_told_and_not_ticked() -> None:
    (remark,) = sections()["settings"].remarks
    assert remark == "pe3 divides by what is plugged in: SLOT3 gets x8"
    assert texts("jumpers") == ["See that the jumper is “J1: 2-3”"]


def test_drives_go_into_their_carrier_before_the_carrier_goes_in() -> None:
    assert texts("bench") == ["Put disk-1 into M2A of carrier", "Put disk-2 into M2B of carrier"]
    assert texts("parts") == ["SLOT1: carrier", "SLOT2: nic", "SLOT3: accel", "SLOT5: expander"]


def test_every_part_has_its_step_and_no_step_is_there_twice() -> None:
    steps = [step for section in steps_of(hand_answer()) for step in section.steps]
    ids = [step.id for step in steps]
    assert len(set(ids)) == len(ids)
    placed = {id_.partition("/")[2] for id_ in ids if id_.startswith(("part/", "cable/"))}
    answer = hand_answer()
    assert placed == {s.item for s in answer.plan.seats if not s.body.companion_of}


def test_what_to_know_of_a_part_is_said_with_it() -> None:
    by_text = {step.text: step.details for step in sections()["parts"].steps}
    assert by_text["SLOT2: nic"] == (
        "The nic; trains at gen 4 x4, could do x8",
        "Today it sits in old/slot2.",
        "It comes with a full and a low bracket: fit the one that your chassis takes.",
    )
    assert "It stays where it is today." in by_text["SLOT3: accel"]
    assert "It takes 2 openings: take their blanking plates out first." in by_text["SLOT3: accel"]
    assert by_text["SLOT5: expander"] == (
        "The expander; it takes only power and room, no link is expected",
    )


def test_cables_have_both_ends_and_plugs_their_number() -> None:
    cable, plug, end = sections()["cables"].steps
    assert cable.text == "Cable lead, from HDR to expander, its up connector; SAS-3 x4; 800 mm"
    assert cable.letter == "A"
    assert plug.text == "accel: 2 × pcie-8 from the power supply"
    assert end.text == "nic: sfp into p1, to desk, 40 m"


def test_links_below_their_ability_are_told_from_the_others() -> None:
    steps = {step.id: step for step in sections()["start"].steps}
    lines = {step.text: (step.code, step.details) for step in steps.values() if "link/" in step.id}
    downgraded = ("(downgraded) is expected.",)
    assert lines == {
        "disk-1 on carrier": (("LnkSta: Speed 16GT/s, Width x4",), ()),
        "disk-2 on carrier": (("LnkSta: Speed 16GT/s, Width x2",), downgraded),
        "nic in SLOT2": (("LnkSta: Speed 16GT/s, Width x4",), downgraded),
        "accel in SLOT3": (("LnkSta: Speed 16GT/s, Width x8",), ()),
    }
    assert steps["start/drives"].text == "Count the NVMe drives: at least 2."
    assert "lines for disk-2, nic at most" in steps["start/kernel"].text


@pytest.mark.parametrize(("generation", "lanes"), [(1, 1), (2, 4), (3, 8), (4, 16), (5, 2), (6, 4)])
def test_the_expected_line_is_read_as_what_was_meant(generation: int, lanes: int) -> None:
    """By the reader of lspci text, which is tested against real captures."""
    line = line_of(link(lanes, generation=generation))
    text = f"01:00.0 Ethernet controller: made up\n\t{line.replace(': ', ':' + chr(9), 1)}\n"
    (function,) = parse_text(text, "here").functions
    assert function.link is not None
    assert (function.link.generation_now, function.link.lanes_now) == (generation, lanes)


def test_what_is_left_is_told_with_its_reason() -> None:
    assert leftovers(hand_answer()) == (
        "spare has no place: no room",
        "SLOT4 (cem, gets no lanes): covered, accel covers it",
        "SLOT6 (cem, gets no lanes): unpowered, cpu1 is not fitted",
        "SLOT7 (cem, gets gen 4 x1): free",
        "M2_1 (m2-m, gets gen 4 x4): free",
        "M2_2 (m2-m): no lanes, pe1 gives elsewhere",
        "M2_3 (m2-m, gets gen 4 x4): blocked, accel is in its way",
        "carrier M2C (m2-m, gets gen 4 x4): free",
        "carrier M2D (m2-m): no lanes, nothing arrives at lane 12",
        "expander DOWN0 to DOWN2 (sff-8643, gets gen 4 x4): free",
    )


def test_an_empty_answer_has_only_its_cautions() -> None:
    assert [section.id for section in steps_of(empty_answer())] == ["cautions"]


def test_ticks_belong_to_one_plan() -> None:
    """The same plan finds its ticks again; another seat or setting makes it another plan."""
    answer = hand_answer()
    later = replace(answer, verdict=replace(answer.verdict, seconds=9.0), title="renamed")
    assert plan_hash(answer) == plan_hash(later)
    assert plan_hash(answer) != plan_hash(with_plan(answer, seats=answer.plan.seats[:-1]))
    fewer = replace(answer.do, settings=answer.do.settings[:-1])
    assert plan_hash(answer) != plan_hash(replace(answer, do=fewer))


def test_machines_are_named_where_there_are_several() -> None:
    answer = hand_answer()
    other = replace(answer.plan.machines[0], id="other", name="other")
    several = steps_of(with_plan(answer, machines=(*answer.plan.machines, other)))
    every: list[SheetStep] = [step for section in several for step in section.steps]
    named = [step for step in every if step.id.startswith(("part/", "setting/", "cable/"))]
    assert named
    assert all(step.text.startswith("box: ") for step in named)
