"""What to pull first: every removal is tried, and the ranking is what its words say."""

from __future__ import annotations

from itertools import combinations

import pytest

from slotfit import api
from slotfit.answers.sequence.answer import PartRoom, Pull, PullFirstAnswer
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


def asked(part: str, text: str = HEAD + PARTS + TODAY + ASKED) -> PullFirstAnswer:
    answer = api.pull_first(problem(text), part, SECONDS)
    assert answer.more.complete
    return answer


def pulls(answer: PullFirstAnswer) -> dict[str, Pull]:
    """Each part that is pulled by itself."""
    return {pull.items[0]: pull for pull in answer.plan.pulls}


def place(pull: Pull) -> str | None:
    return pull.goes.place if pull.goes else None


def test_each_part_that_is_in_is_tried_once() -> None:
    pulled = [pull.items for pull in asked("accelerator").plan.pulls]
    inside = ["hba", "nic-25", "scans", "scan-1", "scan-2", "scan-3", "scan-4", "spare-nic"]
    assert sorted(pulled) == sorted((name,) for name in inside)


def test_the_best_first() -> None:
    # A thick card has room over slots 1 and 2, or over slot 3 and the gap beside it: the board's
    # own file. Without the adapter the files stop for good; the scans live on in slot 1, and so
    # does the mirror on them.
    answer = asked("accelerator")
    assert answer.verdict.status == "proven"
    useful = [pull for pull in answer.plan.pulls if pull.goes]
    assert [pull.items for pull in useful] == [("scans",), ("hba",)]
    scans, hba = useful
    assert (place(scans), place(hba)) == ("SLOT 3", "SLOT 1")
    assert [(room.part, room.place) for room in scans.elsewhere] == [("scans", "SLOT 1")]
    assert hba.elsewhere == ()
    assert (scans.stops, scans.stops_then) == (("archive",), ())
    assert (hba.stops, hba.stops_then) == (("files",), ("files",))


def test_what_is_at_risk() -> None:
    found = pulls(asked("accelerator"))
    until = "until it is in its other place, "
    assert found["scans"].riders == ("scan-1", "scan-2", "scan-3", "scan-4")
    assert found["scans"].risks == (
        f"{until}scan-1 and scan-2 has too few members left to be in service",
        f"{until}the data of scan-1 to one is out of reach, and it is not copied yet",
    )
    assert "scan-1 and scan-2 lacks a member" in found["scan-1"].risks
    assert found["hba"].risks == ()


def test_what_a_removal_frees() -> None:
    # hba-8i-sas3 draws 13 W and has no plugs; the carrier 2 W and each of its four drives 5.75 W.
    found = pulls(asked("accelerator"))
    assert found["hba"].frees == ("SLOT 2", "13 W")
    assert found["scans"].frees == ("SLOT 3", "25 W")


def test_nothing_need_be_pulled_where_it_fits() -> None:
    answer = asked("pair", HEAD + PARTS + TODAY.replace(", spare-nic: slot5", ""))
    assert answer.plan.goes_now is not None
    assert answer.plan.goes_now.place in {"SLOT 1", "SLOT 5"}  # both are divided as it needs
    assert answer.along == ("one",)
    assert answer.plan.pulls == ()


def test_moving_is_offered_where_it_is_enough() -> None:
    assert asked("accelerator").do.moves == (("scans", "SLOT 3", "SLOT 1"),)


def test_pairs_are_tried_where_no_single_part_makes_room() -> None:
    parts = PARTS.replace(
        "  - {id: spare-nic", "  - {id: sound, part: nic-10g-2p}\n  - {id: spare-nic"
    )
    today = TODAY.replace("scans: slot3", "scans: slot3, sound: slot1")
    # Card in slot 1 and thick card over slot 3 pinned away: it takes slots 1 and 2 alone.
    pinned = parts.replace("accel-fan-250w}", "accel-fan-250w, pin: slot1}")
    answer = asked("accelerator", HEAD + pinned + today)
    assert all(pull.goes is None for pull in answer.plan.pulls if len(pull.items) == 1)
    pairs = [set(pull.items) for pull in answer.plan.pulls if len(pull.items) == 2]
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
           lanes: 8, splits: [], power_w: 25, airflow_lfm: 400}
        - {id: slot2, form: cem, width: 1, row: rear, position: 1, from: cpu0, generation: 3,
           lanes: 1, splits: [], power_w: 25, airflow_lfm: 400}
parts:
  - {id: old, part: nic-10g-2p}
  - {id: new, part: nic-25g-2p}
today: {old: slot1}
"""


def test_a_place_that_hardly_does_is_called_so_and_what_would_be_better_is_told() -> None:
    # An x8 card in an x1 slot: only if its end is open and nothing stands behind it, and then on
    # one lane at gen 3. Two ports of 25 Gb/s move 6.25 GB/s either way.
    answer = asked("new", CRAMPED)
    assert answer.verdict.headline == (
        "Yes, if 2 unproven facts hold: nothing has to be pulled, new goes into slot2, gen 3 x1"
    )
    assert answer.watch.short_mb_s > 2 * (6250 - 985)
    assert [fact.statement.partition(" ")[2] for fact in answer.watch.facts] == [
        "has an open end, so that a longer card may hang over",
        "mm are clear behind the end of slot2",
    ]
    (pull,) = answer.plan.pulls
    assert (pull.items, pull.goes) == (
        ("old",),
        PartRoom("new", "slot1", "gen 3 x8", while_it_runs=False),
    )
    assert pull.facts == ()
    assert pull.elsewhere == (PartRoom("old", "slot2", "gen 3 x1", while_it_runs=False),)


def test_a_place_that_does_as_well_as_any_leaves_nothing_to_pull() -> None:
    wide = CRAMPED.replace("width: 1", "width: 8").replace("lanes: 1,", "lanes: 8,")
    answer = asked("new", wide)
    assert (answer.watch.short_mb_s, answer.plan.pulls) == (0, ())


LEAVES = """id: leaves
machines: [{id: tower, board: ./lamp.yaml, base_w: 100}]
parts:
  - {id: hba, part: hba-8i-sas3}
  - {id: accelerator, part: accel-fan-250w}
  - {id: nic-25, part: nic-25g-2p}
  - {id: sound, part: nic-10g-2p}
  - {id: spare, part: nic-10g-2p}
  - {id: new, part: nic-25g-2p}
today: {hba: slot5, accelerator: slot1, nic-25: slot3, spare: slot4}
"""


def test_what_leaves_anyway_is_pulled_before_what_stays() -> None:
    full = (
        LEAVES.replace("spare: slot4", "spare: slot4, sound: slot2")
        .replace("accelerator: slot1", "accelerator: slot3")
        .replace("nic-25: slot3", "nic-25: slot1")
    )
    for gone in ("hba", "sound", "spare"):
        answer = asked("new", full + f"retire: [{gone}]\n")
        best = answer.plan.pulls[0]
        assert (best.items, best.leaves) == ((gone,), (gone,))
        assert f"to leave anyway: {gone}" in api.text(answer)


def test_a_part_that_leaves_is_not_put_in() -> None:
    with pytest.raises(InputError, match="new is to leave, says `retire`"):
        asked("new", LEAVES + "retire: [new]\n")


def test_a_copy_that_can_be_made_today_comes_first_and_holds_nothing_up() -> None:
    full = (
        CRAMPED.replace("new, part: nic-25g-2p", "new, part: nic-25g-2p, min_lanes: 8")
        .replace("parts:\n", "parts:\n  - {id: other, part: nic-10g-2p}\n")
        .replace("width: 1,", "width: 8,")
        .replace("lanes: 1,", "lanes: 8,")
    )
    full = full.replace("old: slot1", "old: slot1, other: slot2") + "retire: [old]\n"
    copied = full + "sequence: {copies: [{from: old, to: other}]}\n"
    assert pulls(asked("new", copied))["old"].risks == (
        "copy old to other before anything comes out",
    )
    waits = full + "sequence: {copies: [{from: old, to: new}]}\n"
    best, then, *_ = asked("new", waits).plan.pulls
    assert (best.items, then.items) == (("other",), ("old",))
