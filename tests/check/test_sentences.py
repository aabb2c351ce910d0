"""What the sentences of `check` may and may not say of one another."""

from __future__ import annotations

from slotfit.answers.check.check import check
from slotfit.answers.check.machine_asked import MachineOptions, machine_asked, question_of
from slotfit.answers.check.text import check_text
from slotfit.load.catalog import Catalog, standard_catalog
from slotfit.model.part import PartSpec

STEERED = """
id: board
processors: [{id: cpu0}]
hubs: [{id: chipset, from: cpu0, generation: 3, lanes: 4}]
rows: [{id: rear, positions: 4}, {id: riser, positions: 2}]
lane_groups:
  - id: graphics
    from: cpu0
    generation: 4
    arrangements:
      - {gives: {slot1: [16]}, chosen_by: presence}
      - {gives: {slot1: [8], m2_1: [4]}, chosen_by: presence}
      - {gives: {slot1: [8, 8]}, setting: "Slot 1: x8x8"}
      - {gives: {slot1: [8, 4, 4]}, setting: "Slot 1: x8x4x4"}
receptacles:
  - {id: slot1, form: cem, width: 16, row: rear, position: 0, power_w: 75}
  - {id: slot2, form: cem, width: 1, row: rear, position: 3, from: chipset, generation: 3, lanes: 1,
     splits: [], power_w: 75}
  - {id: slot3, form: cem, width: 16, row: riser, position: 0, from: chipset, generation: 3,
     lanes: 4, splits: [], power_w: 75}
  - {id: m2_1, form: m2-m, drive_lengths: [80]}
"""


BAYS = """
id: bays
processors: [{id: cpu0}]
receptacles:
  - {id: bay1, form: u3, generation: 4, lanes: 4, splits: []}
  - {id: slot1, form: cem, width: 4, generation: 4, lanes: 4, splits: []}
"""


def answer(part: str, drive: str | None = None, board: str = STEERED) -> str:
    """The text of `check` for a part of the catalog on a board."""
    catalog = standard_catalog()
    machine, _ = machine_asked(board, MachineOptions(), Catalog(()))
    drives = [(None, catalog.load(drive, PartSpec))] if drive else []
    told = check(question_of(machine, catalog.load(part, PartSpec), drives, None))
    return " ".join(check_text(told).split())


def test_an_unproven_setting_that_shows_more_is_not_said_to_do_no_better() -> None:
    # x16: one segment; x8x8: lanes 0 and 8; x8x4x4: lanes 0, 8 and 12. The carrier has its four
    # drives at lanes 0, 4, 8 and 12.
    said = answer("carrier-m2x4-gen3", "nvme-2280-gen3")
    assert 'Perhaps 3 of 4 drives are seen with "Slot 1: x8x4x4" set' in said
    assert 'Not proven either: "Slot 1: x8x8" 2 of 4.' in said
    assert "do no better" not in said


def test_the_first_sentence_names_what_may_show_most() -> None:
    # Slot 2 (one lane, its end not known) may show one drive, as slot 1 does for certain: no news.
    said = answer("carrier-m2x4-gen3", "nvme-2280-gen3")
    assert "ot known for slot2" not in said
    assert "No: it works only in part: in slot1 1 of 4 drives is seen." in said
    assert "Perhaps 3 of 4 drives are seen in slot1: see what to find out there." in said


def test_arrangements_without_lanes_are_no_reason_beside_the_one_that_gives_some() -> None:
    said = answer("sata-m2-2280")
    assert said.count("no link of sata-m2-2280 trains in m2_1") == 1
    assert "PCIe arrives here, not SATA" in said


def test_receptacles_are_named_row_by_row() -> None:
    # The serial card (x1) works in all three; the rows are rear (slots 1 and 2), then riser.
    assert "Yes: it works in slot1, slot2 and slot3." in answer("serial-4p")


def test_a_yes_says_where_the_link_is_too_slow() -> None:
    # Two ports of 25 Gb/s move 6.25 GB/s; four lanes at gen 3 carry 3.9 GB/s at most.
    said = answer("nic-25g-2p")
    assert "But in slot3 it gets less than it moves" in said


def test_a_bay_that_looks_right_and_is_not_has_its_reason() -> None:
    # SFF-TA-1001 hosts have the PCIe lanes where SFF-8639 drives have none (as quoted).
    said = answer("nvme-u2-gen4", board=BAYS)
    assert "a U.2 drive finds no PCIe lanes in a bay made for U.3 only" in said
    assert "Not made for this plug: slot1." in said


ALIKE = """
id: alike
processors: [{id: cpu0}]
receptacles:
  - {id: hi, form: cem, width: 16, generation: 4, lanes: 16, splits: [x16, x8x8], power_w: 75}
  - {id: ab, form: cem, width: 16, generation: 4, lanes: 16, splits: [x16, x8x8], power_w: 75}
"""


def test_what_holds_for_several_is_said_once_whatever_they_are_called() -> None:
    # "nothing" holds the letters of "hi", and "able" those of "ab".
    said = answer("carrier-m2x2-x16-apart", "nvme-2280-gen4", ALIKE)
    assert said.count("If nothing is set, 1 of 2 drives is seen.") == 1


def test_one_of_one_is_not_many() -> None:
    bays = BAYS.replace("form: cem, width: 4", "form: cem, width: 4, open_end: false")
    said = answer("carrier-u3x1-gen4", "nvme-u2-gen4", bays)
    assert "0 of 1 drive is seen" in said
