"""What is told of a window's steps: plugs where the machine is open, choices that are undone."""

from __future__ import annotations

from pathlib import Path

from slotfit import api
from slotfit.answers.sequence.names import setting_step
from slotfit.answers.sequence.text import as_text
from slotfit.load.build_file import load_build_text
from slotfit.model.keys import GroupKey
from slotfit.model.windows import SettingChange
from tests.limits import SECONDS
from tests.sequence.rebuilds import catalog

TWO = """
id: two
machines:
  - {id: north, board: server-1p, power_supply: supply-1000w, base_w: 100}
  - {id: south, board: server-1p, power_supply: supply-1000w, base_w: 100}
parts:
  - {id: hba, part: hba-8i-sas3, pin: south/slot2}
  - {id: wire, part: cable-8643-4sas-500, pin: hba/port0}
  - {id: disk, part: hdd-sas-3.5-7200, count: 4}
  - {id: nic, part: nic-10g-2p, pin: north/slot3}
today: {hba: south/slot1, nic: north/slot1, disk-1: wire/end0, disk-2: wire/end1,
  disk-3: wire/end2, disk-4: wire/end3}
"""
STEERED = """
id: steered
machines:
  - id: tower
    board:
      id: board
      processors: [{id: cpu0}]
      lane_groups:
        - id: graphics
          from: cpu0
          generation: 4
          arrangements:
            - {id: whole, gives: {slot1: [16]}, chosen_by: presence}
            - {id: split, gives: {slot1: [8, 8]}, setting: "Slot 1: x8x8", proof: documented}
            - {id: pins, gives: {slot1: [4, 4]}, setting: J5 on 2-3, chosen_by: jumper}
      receptacles: [{id: slot1, form: cem, width: 16}]
parts: []
"""


def test_plugs_of_the_supply_are_made_where_the_machine_is_open() -> None:
    problem = load_build_text(TWO, catalog(), beside=Path())
    answer = api.sequence(problem, seconds=SECONDS)
    steps = {
        (work.window, work.machine): [*work.out, *work.moved, *work.in_] for work in answer.do.work
    }
    on_the_bench = [move for (_, machine), moves in steps.items() if not machine for move in moves]
    assert [move for move in on_the_bench if any("supply" in one for one in move.cables)] == []
    inside = [move for (_, machine), moves in steps.items() if machine for move in moves]
    (wire,) = [move for move in inside if move.item == "wire"]
    assert wire.riders == ("disk-1", "disk-2", "disk-3", "disk-4")
    assert wire.cables == ("4 sata-power from the supply",)
    (adapter,) = [move for move in inside if move.item == "hba"]
    assert adapter.riders == ()
    assert "with disk-1 to disk-4 on it; plugs: 4 sata-power" in " ".join(as_text(answer).split())


def test_a_choice_is_undone_by_hand_not_by_itself() -> None:
    problem = load_build_text(STEERED, catalog(), beside=Path())
    where = GroupKey("tower", "graphics")
    way = problem.lane_groups[where].arrangement
    told = {
        (before, after): setting_step(SettingChange(where, way(before), way(after)), known=True)
        for before, after in [("split", "whole"), ("pins", "whole"), ("whole", "split")]
    }
    back = "back to what the board does by itself: slot1 x16"
    assert (told["split", "whole"].chosen_by, told["split", "whole"].after) == ("setting", back)
    assert told["split", "whole"].before == "Slot 1: x8x8"
    assert told["pins", "whole"].chosen_by == "jumper"
    assert (told["whole", "split"].chosen_by, told["whole", "split"].after) == (
        "setting",
        "Slot 1: x8x8",
    )
    assert told["whole", "split"].before == "slot1 x16"
