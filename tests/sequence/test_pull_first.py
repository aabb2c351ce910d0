"""What to pull first: every removal is tried, and the ranking is what its words say."""

from __future__ import annotations

from itertools import combinations

import pytest

from slotfit import api
from slotfit.answers.sequence.pull_first import PullFirst
from slotfit.answers.sequence.pull_first_text import pull_view_of
from slotfit.errors import InputError
from slotfit.load.build_file import load_build_text
from slotfit.model.problem import Problem
from tests.limits import SECONDS
from tests.sequence.rebuilds import EXAMPLES, catalog

HEAD = """id: full
machines: [{id: tower, board: ./lamp.yaml, base_w: 100}]
"""
PARTS = """parts:
  - {id: hba, part: hba-8i-sas3}
  - {id: nic-25, part: nic-25g-2p}
  - {id: scans, part: carrier-m2x4-gen3}
  - {id: scan, part: nvme-2280-gen3, count: 4}
  - {id: spare-nic, part: nic-10g-2p}
  - {id: accelerator, part: accel-fan-250w}
  - {id: pair, part: carrier-m2x2-x8-gen3}
  - {id: one, part: nvme-2280-gen3, only: [pair/m2a]}
"""
TODAY = """today: {hba: slot2, nic-25: slot4, scans: slot3, scan-1: scans/m2a, scan-2: scans/m2b,
  scan-3: scans/m2c, scan-4: scans/m2d, spare-nic: slot5}
"""
ASKED = """sequence:
  services: [{id: files, needs: [hba, nic-25]}, {id: archive, needs: [scans, nic-25]}]
  copies: [{from: scan-1, to: one}]
  mirrors: [{parts: [scan-1, scan-2], keep: 1}]
"""


def problem(text: str = HEAD + PARTS + TODAY + ASKED) -> Problem:
    return load_build_text(text, catalog(), beside=EXAMPLES / "sequence-lighthouse")


def asked(part: str, text: str = HEAD + PARTS + TODAY + ASKED) -> PullFirst:
    answer = api.pull_first(problem(text), part, SECONDS)
    assert answer is not None
    assert answer.complete
    return answer


def test_each_part_that_is_in_is_tried_once() -> None:
    pulled = [pull.items for pull in asked("accelerator").pulls]
    inside = ["hba", "nic-25", "scans", "scan-1", "scan-2", "scan-3", "scan-4", "spare-nic"]
    assert sorted(pulled) == sorted((name,) for name in inside)


def test_the_best_first() -> None:
    # A thick card has room over slots 1 and 2, or over slot 3 and the gap beside it: the board's
    # own file. Without the adapter the files stop for good; the scans live on in slot 1, and so
    # does the mirror on them.
    useful = [pull for pull in asked("accelerator").pulls if pull.layout]
    assert [pull.items for pull in useful] == [("scans",), ("hba",)]
    scans, hba = useful
    assert scans.layout is not None
    assert hba.layout is not None
    assert scans.layout.places["accelerator"] == "slot3"
    assert hba.layout.places["accelerator"] == "slot1"
    assert scans.elsewhere is not None
    assert scans.elsewhere.places["scans"] == "slot1"
    assert hba.elsewhere is None
    assert (scans.stops, scans.stops_then) == (("archive",), ())
    assert (hba.stops, hba.stops_then) == (("files",), ("files",))


def test_what_is_at_risk() -> None:
    pulls = {pull.items[0]: pull for pull in asked("accelerator").pulls}
    assert pulls["scans"].riders == ("scan-1", "scan-2", "scan-3", "scan-4")
    assert pulls["scans"].bared == ("scan-1 and scan-2",)
    assert pulls["scans"].uncopied == ("scan-1 to one",)
    assert pulls["scans"].bared_then == ()
    assert pulls["scan-1"].weakened == ("scan-1 and scan-2",)
    assert pulls["hba"].bared == pulls["hba"].weakened == pulls["hba"].uncopied == ()


def test_what_a_removal_frees() -> None:
    # hba-8i-sas3 draws 13 W and has no plugs; the carrier 2 W and each of its four drives 5.75 W.
    view = pull_view_of(asked("accelerator"))
    frees = {pull.items[0]: pull.frees for pull in view.pulls}
    assert frees["hba"] == ("SLOT 2", "13 W")
    assert frees["scans"][0] == "SLOT 3"


def test_nothing_need_be_pulled_where_it_fits() -> None:
    answer = asked("pair", HEAD + PARTS + TODAY.replace(", spare-nic: slot5", ""))
    assert answer.now is not None
    assert answer.now.places["pair"] in {"slot1", "slot5"}  # both are divided as it needs
    assert answer.along == ("one",)
    assert answer.now.places["one"] == "pair/m2a"
    assert answer.pulls == ()


def test_moving_is_offered_where_it_is_enough() -> None:
    view = pull_view_of(asked("accelerator"))
    assert view.moves == (("scans", "SLOT 3", "SLOT 1"),)


def test_pairs_are_tried_where_no_single_part_makes_room() -> None:
    parts = PARTS.replace(
        "  - {id: spare-nic", "  - {id: sound, part: nic-10g-2p}\n  - {id: spare-nic"
    )
    today = TODAY.replace("scans: slot3", "scans: slot3, sound: slot1")
    # Card in slot 1 and thick card over slot 3 pinned away: it takes slots 1 and 2 alone.
    pinned = parts.replace("accel-fan-250w}", "accel-fan-250w, pin: slot1}")
    answer = asked("accelerator", HEAD + pinned + today)
    assert all(pull.layout is None for pull in answer.pulls if len(pull.items) == 1)
    pairs = [set(pull.items) for pull in answer.pulls if len(pull.items) == 2]
    assert pairs == [{"hba", "sound"}]
    boards = ["hba", "nic-25", "scans", "sound", "spare-nic"]
    assert {"hba", "sound"} in [set(pair) for pair in combinations(boards, 2)]


@pytest.mark.parametrize(
    ("part", "says"),
    [
        ("accelerater", "there is no part accelerater; not in a machine today: accelerator"),
        ("hba", "hba is in slot2 already; name a part that is to go in"),
    ],
)
def test_a_part_that_cannot_be_meant(part: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        api.pull_first(problem(), part, SECONDS)


CRAMPED = """id: cramped
machines:
  - id: tower
    base_w: 100
    board:
      id: board
      processors: [{id: cpu0}]
      rows: [{id: rear, positions: 2}]
      receptacles:
        - {id: slot1, form: cem, width: 8, row: rear, position: 0, from: cpu0, generation: 3,
           lanes: 8, splits: [], power_w: 25, airflow_lfm: 300}
        - {id: slot2, form: cem, width: 1, row: rear, position: 1, from: cpu0, generation: 3,
           lanes: 1, splits: [], power_w: 25, airflow_lfm: 300}
parts:
  - {id: old, part: nic-10g-2p}
  - {id: new, part: nic-25g-2p}
today: {old: slot1}
"""


def test_a_place_that_hardly_does_is_called_so_and_what_would_be_better_is_told() -> None:
    # An x8 card in an x1 slot: only if its end is open and nothing stands behind it, and then on
    # one lane at 8 GT/s. Two ports of 25 Gb/s move 6.25 GB/s either way.
    view = pull_view_of(asked("new", CRAMPED))
    assert view.headline == "Nothing has to be pulled: new goes into slot2, 8 GT/s x1"
    assert view.short_mb_s > 2 * (6250 - 985)
    assert [statement.partition(" ")[2] for statement, _ in view.rests_on] == [
        "has an open end, so that a longer card may hang over",
        "mm are clear behind the end of slot2",
    ]
    (pull,) = view.pulls
    assert (pull.items, pull.goes_to, pull.link) == (("old",), "slot1", "8 GT/s x8")
    assert pull.rests_on == ()
    assert pull.elsewhere == (("old", "slot2", "8 GT/s x1"),)


def test_a_place_that_does_as_well_as_any_leaves_nothing_to_pull() -> None:
    wide = CRAMPED.replace("width: 1", "width: 8").replace("lanes: 1,", "lanes: 8,")
    answer = asked("new", wide)
    assert (answer.short_mb_s, answer.pulls) == (0, ())
