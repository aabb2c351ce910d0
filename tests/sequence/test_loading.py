"""The `retire` and `sequence` keys become ids, wherever a build file may put a name."""

from pathlib import Path

from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem

CATALOG = Path(__file__).parents[1] / "load" / "catalog"
TEXT = """id: home
machines: [{id: old, board: two-socket}, {id: new, board: two-socket}]
parts:
  - {id: ssd, part: nvme, count: 2}
  - {id: exp, part: expander}
  - {id: carrier, part: carrier-2}
retire: [old, exp, ssd-2]
today: {carrier: old/slot1, ssd-1: carrier/a, ssd-2: shed/m2}
sequence:
  goal: {carrier: new/slot1, ssd-1: new/m2-1}
  copies:
    - {from: ssd-2, to: ssd-1}
    - {from: [ssd, carrier], to: [exp], over: network, through: exp}
  services: [{id: files, needs: [ssd, carrier, ssd-1], windows: [1, 3]}]
  mirrors: [{parts: [ssd]}]
  arrivals: {new: 2, exp: 1}
  settings_today: {new/slot1: slot1.x8x8}
"""


def problem(text: str) -> Problem:
    return load_build_text(text, Catalog([CATALOG]))


def test_names_become_ids() -> None:
    found = problem(TEXT)
    asked = found.sequence
    assert found.retire == ("old", "exp", "ssd-2")
    assert asked.goal == {"carrier": "new/slot1", "ssd-1": "new/m2-1"}
    assert [(c.from_, c.to, c.over, c.through) for c in asked.copies] == [
        (("ssd-2",), ("ssd-1",), "machine", ()),
        (("ssd-1", "ssd-2", "carrier"), ("exp",), "network", ("exp",)),
    ]
    assert asked.services[0].needs == ("ssd-1", "ssd-2", "carrier")
    assert asked.services[0].windows == (1, 3)
    assert asked.mirrors[0].parts == ("ssd-1", "ssd-2")
    assert asked.arrivals == {"new": 2, "exp": 1}
    assert asked.settings_today == {"new/slot1": "slot1.x8x8"}


def test_what_leaves_need_not_be_placed_nor_need_its_further_plugs() -> None:
    required = {part.id: part.wish.required for part in problem(TEXT).parts}
    assert required == {
        "ssd-1": True,
        "ssd-2": False,
        "exp": False,
        "exp:up": False,
        "carrier": True,
    }


def test_todays_receptacles_know_their_line() -> None:
    spans = problem(TEXT).today_spans
    assert {name: str(span) for name, span in spans.items()} == {
        "carrier": "build.yaml:8:9",
        "ssd-1": "build.yaml:8:29",
        "ssd-2": "build.yaml:8:47",
    }


def test_a_file_without_the_keys_asks_for_one_machine_at_a_time_and_eight_windows() -> None:
    asked = problem("id: home\nmachines: [{id: box, board: two-socket}]\n").sequence
    assert (asked.at_once, asked.most_windows) == (1, 8)
    assert (asked.goal, asked.copies, asked.services, asked.mirrors) == ({}, (), (), ())
