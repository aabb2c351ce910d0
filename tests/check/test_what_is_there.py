"""`slotfit check` counts all that is there: what sits in the machine today, and what stays dark."""

from __future__ import annotations

from pathlib import Path

import pytest

from slotfit.answers.check.answer import CheckAnswer
from slotfit.answers.check.asked import carriers, check
from slotfit.load.catalog import standard_catalog

CATALOG = standard_catalog(())

BOARD = """
kind: board
id: thin
invented: true
processors: [{id: cpu0}]
rows: [{id: rear, positions: 1}]
receptacles:
  - {id: slot1, form: cem, width: 16, row: rear, position: 0, from: cpu0, generation: 4,
     lanes: 16, splits: [x16, x4x4x4x4], power_w: WATTS}
"""


@pytest.mark.parametrize("split", ["x16, x4x4x4x4", "x16"])
@pytest.mark.parametrize(("drives", "comes_to"), [(3, "26.75 W"), (4, "35 W")])
def test_drives_that_stay_dark_draw_their_watts(drives: int, comes_to: str, split: str) -> None:
    """2 W for the carrier and 8.25 W a drive (catalog figures) are more than 25 W from three on."""
    board = BOARD.replace("WATTS", "25").replace("x16, x4x4x4x4", split)
    given = [f"m2{socket}=nvme-2280-gen4" for socket in "abcd"[:drives]]
    answer = check("carrier-m2x4-gen4", board, CATALOG, given=given)
    (slot1,) = answer.plan.receptacles
    assert slot1.status == "does not work"
    (reason,) = slot1.reasons
    assert reason.rule == "POW002"
    assert comes_to in reason.text


def test_carriers_leaves_out_those_whose_drives_draw_too_much() -> None:
    board = BOARD.replace("WATTS", "25")
    answer = carriers(board, CATALOG, given=["nvme-2280-gen4"])
    kinds = [kind for slot in answer.plan.slots for kind in slot.carriers]
    assert kinds
    assert [one for one in kinds if one.total in (3, 4) and one.kind.startswith("passive")] == []


BUILD = """
kind: build
id: shared
invented: true
machines:
  - id: box
    board:
      kind: board
      id: shared-lanes
      processors: [{id: cpu0}]
      rows: [{id: rear, positions: 2}]
      lane_groups:
        - id: both
          from: cpu0
          generation: 4
          arrangements:
            - {gives: {slot1: [8], slot2: [8]}, proof: documented, setting: halves}
            - {gives: {slot1: [4], slot2: [4, 4]}, proof: documented, setting: quarters}
      receptacles:
        - {id: slot1, form: cem, width: 16, row: rear, position: 0, power_w: 75}
        - {id: slot2, form: cem, width: 16, row: rear, position: 1, power_w: 75}
parts:
  - id: nic
    part: {kind: part, id: wide-nic, class: network-card, plug: cem x8, links: x8, generation: 4,
      thickness: 1, length_mm: 120, height_mm: 68.9, bracket: both, power: {slot_w: 9},
      cooling: none, demand: 10}
    WISH
  - {id: carrier, part: carrier-m2x2-x8-gen4, required: false}
today: {nic: slot1}
"""


def asked(tmp_path: Path, wish: str) -> CheckAnswer:
    """Whether the carrier with two drives works beside the network card."""
    file = tmp_path / "build.yaml"
    file.write_text(BUILD.replace("WISH", wish), "utf-8")
    return check("carrier", str(file), CATALOG, given=["nvme-2280-gen4"])


def test_a_card_there_today_keeps_the_lanes_that_the_build_says_it_needs(tmp_path: Path) -> None:
    answer = asked(tmp_path, "min_lanes: 8")
    assert not answer.good
    slot2 = next(one for one in answer.plan.receptacles if one.receptacle == "slot2")
    assert slot2.status == "works in part"
    (note,) = [one for one in slot2.notes if "quarters" in one]
    assert "2 of 2 drives are seen" in note
    assert "nic would train at x4 in slot1 and is to have x8" in note


def test_the_headline_names_who_gets_less(tmp_path: Path) -> None:
    answer = asked(tmp_path, "")
    assert answer.good
    assert "less is left to nic" in answer.verdict.headline
    assert "it gets less than it moves" not in answer.verdict.headline


def test_what_sits_in_the_slot_is_no_load_beside_what_would_take_its_place(tmp_path: Path) -> None:
    """With both in it the supply would be short; but one of them has to come out anyway."""
    supply = "power_supply: {kind: power-supply, id: weak, watts: 100}\n    base_w: 80\n    board:"
    file = tmp_path / "build.yaml"
    file.write_text(BUILD.replace("board:", supply, 1).replace("WISH", ""), "utf-8")
    answer = check("carrier", str(file), CATALOG, given=["nvme-2280-gen4", "nvme-2280-gen4"])
    reasons = {one.receptacle: one.reasons for one in answer.plan.receptacles}
    assert [one.rule for one in reasons["slot1"]] == ["FIT003"]
    assert [one.rule for one in reasons["slot2"]] == ["POW003"]
    slot1 = next(one for one in answer.plan.receptacles if one.receptacle == "slot1")
    assert [one.text for one in slot1.reasons] == ["slot1 takes one part (there today: nic)"]


@pytest.mark.parametrize(
    ("given", "enough"),
    [("blower-97", True), ("mount=blower-97", True), ("duct-120", False)],
)
def test_an_air_mover_goes_on_its_mount(given: str, enough: bool) -> None:
    """At worst the card needs 500 LFM; the blower gives 600, the duct 450 (catalog figures)."""
    bare = check("accel-passive-250w", "desktop-steered", CATALOG, slot="slot1")
    moved = check("accel-passive-250w", "desktop-steered", CATALOG, slot="slot1", given=[given])
    air = [one.fact for one in bare.plan.receptacles[0].provided]
    assert air == ["slot1: 500 LFM of air"]
    assert moved.more.drives == (("mount", given.removeprefix("mount=")),)
    assert moved.plan.receptacles[0].status == "works"
    assert [one.fact for one in moved.plan.receptacles[0].provided] == ([] if enough else air)


def test_a_card_that_takes_only_power_is_not_missed_on_a_riser(tmp_path: Path) -> None:
    file = tmp_path / "power-only.yaml"
    file.write_text(
        "{kind: part, id: power-only, plug: cem x4, links: [], thickness: 1, length_mm: 100, "
        "height_mm: 68.9, bracket: both, power: {slot_w: 5}, cooling: none}",
        "utf-8",
    )
    riser = (
        "{kind: part, id: raiser, class: riser, plug: cem x16, links: x16, generation: 4, "
        "thickness: 1, power: {slot_w: 0}, receptacles: [{id: top, form: cem, width: 16, "
        "power_w: 25}]}"
    )
    board = BOARD.replace("WATTS", "75")
    answer = check(riser, board, CATALOG, given=[f"top={file}"])
    assert answer.verdict.status == "works"
