"""`slotfit check`, `carriers` and `why` as they are typed: what may be asked, and how it ends."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from slotfit.load.catalog import standard_catalog
from slotfit.model.part import PartSpec
from tests.docs.console import run

DEMO = Path(__file__).parents[2] / "examples" / "demo" / "build.yaml"
BUILD = """
id: box
machines:
  - {id: box, board: workstation, chassis: tower-large, power_supply: supply-1000w, base_w: 150}
parts:
  - {id: accelerator, part: accel-fan-250w}
  - {id: nic, part: nic-10g-2p}
  - {id: scratch, part: carrier-m2x4-gen4}
  - {id: scratch-drive, part: nvme-2280-gen4, count: 2}
today:
  accelerator: slot1
  nic: slot3
  scratch: slot5
  scratch-drive-1: scratch/m2a
  scratch-drive-2: scratch/m2b
"""


@pytest.fixture
def box(tmp_path: Path) -> str:
    file = tmp_path / "box.yaml"
    file.write_text(BUILD, "utf-8")
    return str(file)


def asked(*words: str) -> tuple[int, str]:
    code, printed = run(["slotfit", *words])
    return code, "\n".join(printed)


def answered(*words: str) -> dict[str, Any]:
    """The answer for programs."""
    _, printed = asked(*words, "--json")
    answer: dict[str, Any] = json.loads(printed)
    return answer


@pytest.mark.parametrize(
    ("words", "code", "word"),
    [
        (["nic-10g-2p", "desktop-small"], 4, "works"),
        (["carrier-m2x2-x8-gen4", "workstation", "--slot", "slot2"], 0, "works once set"),
        (["carrier-m2x2-x8-gen4", "desktop-small"], 1, "works in part"),
        (["carrier-m2x4-gen4", "server-as-read", "--slot", "slot1"], 4, "not known"),
        (["nvme-u2-gen4", "desktop-small"], 1, "does not work"),
    ],
)
def test_the_exit_code_is_that_of_the_best_receptacle(
    words: list[str], code: int, word: str
) -> None:
    found, printed = asked("check", *words)
    assert found == code
    assert answered("check", *words)["verdict"]["status"] == word
    assert printed


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["nic-10g-2pp", "workstation"], "did you mean nic-10g-2p?"),
        (["nic-10g-2p", "workstatoin"], "did you mean workstation?"),
        (["nic-10g-2p", "workstation", "--slot", "slot9"], "there is no receptacle slot9"),
        (["nic-10g-2p", "no/such/file.yaml"], "no/such/file.yaml"),
        (["nvme-2280-gen4", "workstation", "--with", "nvme-2280-gen4"], "no socket to put"),
        (["nic-10g-2p", "workstation", "--with", "nvme-2280-gen4"], "no free socket of nic-10g-2p"),
        (["carrier-m2x2-x8-gen4", "workstation", "--with", "m2z=nvme-2280-gen4"], "no socket m2z"),
        (["carrier-m2x1-gen4", "workstation", *["--with", "nvme-2280-gen4"] * 2], "room for 1"),
        (["nic-10g-2p", "workstation", "--machine", "m"], "--machine"),
        (["nic-10g-2p", "server-2p", "--processors", "cpu9"], "cpu9"),
        (["links: 4x4", "workstation"], "plug"),
        (["plug: cem x16, wings: 2", "workstation"], "wings"),
        (["plug: [", "workstation"], "the part given"),
    ],
)
def test_a_wrong_question_is_told_in_words(words: list[str], says: str) -> None:
    code, printed = asked("check", *words)
    assert code == 2
    assert says in printed
    assert "Traceback" not in printed


@pytest.mark.parametrize(
    "part",
    [
        "plug: cem x8, links: x8, generation: 3, thickness: 1",
        "{plug: cem x8, links: x8, generation: 3, thickness: 1}",
        "plug: cem x8\nlinks: x8\ngeneration: 3\nthickness: 1\n",
        "{id: mine, plug: {form: cem, width: 8}, links: [{lanes: 8}], generation: 3, thickness: 1}",
    ],
)
def test_a_part_may_be_written_out(part: str) -> None:
    view = answered("check", part, "desktop-small", "--slot", "slot1")
    assert view["verdict"]["status"] == "works"
    assert view["plan"]["receptacles"][0]["endpoints"][0]["text"] == "gen 3 x8"
    assert view["part"] == ("mine" if "mine" in part else "part")


def test_a_carrier_written_out_gets_sockets_for_the_drives_named() -> None:
    view = answered(
        *("check", "plug: cem x8, links: x4x4, thickness: 1", "workstation", "--slot", "slot2"),
        *("--with", "nvme-2280-gen4"),
    )
    assert [one["name"] for one in view["plan"]["receptacles"][0]["endpoints"]] == [
        "socket1",
        "socket2",
    ]
    assert view["verdict"]["status"] == "works once set"


def test_the_answer_for_programs_says_what_the_text_says() -> None:
    words = ("check", "carrier-m2x4-gen4", "old-menu-lies", "--with", "nvme-2280-gen4")
    _, text = asked(*words, "--all")
    view = answered(*words)
    assert view["schema_version"] == 2
    flat = " ".join(text.split())
    for verdict in view["plan"]["receptacles"]:
        assert verdict["label"] in flat
        assert all(" ".join(note.split()) in flat for note in verdict["notes"])
    assert all(" ".join(one["text"].split()) in flat for one in view["do"]["advice"])
    assert view["do"]["advice"]


def test_processors_that_are_not_fitted_leave_slots_dead() -> None:
    both = answered("check", "nic-10g-2p", "server-2p")
    one = answered("check", "nic-10g-2p", "server-2p", "--processors", "cpu0")
    alive = [
        {v["receptacle"] for v in view["plan"]["receptacles"] if v["alive"]} for view in (both, one)
    ]
    assert alive[1] < alive[0]


def test_what_sits_there_today_is_in_the_way(box: str) -> None:
    view = answered("check", "carrier-m2x4-gen4", box, "--slot", "slot5")
    (verdict,) = view["plan"]["receptacles"]
    assert verdict["status"] == "does not work"
    assert "there today: scratch" in verdict["reasons"][0]["text"]
    moves = [one for one in view["do"]["advice"] if one["kind"] == "move"]
    assert moves
    assert "Move scratch to SLOT7" in moves[0]["text"]


def test_a_slot_under_a_thick_neighbour_is_in_the_way(box: str) -> None:
    (verdict,) = answered("check", "nic-10g-2p", box, "--slot", "slot2")["plan"]["receptacles"]
    assert verdict["status"] == "does not work"
    assert "its body and that of accelerator would overlap" in verdict["reasons"][0]["text"]


def test_the_supply_counts_with_what_it_feeds_already(box: str) -> None:
    heavy = answered("check", "accel-fan-575w-gen5", box)
    told = [one for verdict in heavy["plan"]["receptacles"] for one in verdict["reasons"]]
    assert any(one["rule"] == "POW003" and "comes to" in one["text"] for one in told)


def test_a_part_of_the_build_comes_out_first_with_what_is_on_it(box: str) -> None:
    view = answered("check", "scratch", box)
    assert view["more"]["drives"] == [["m2a", "nvme-2280-gen4"], ["m2b", "nvme-2280-gen4"]]
    own = next(one for one in view["plan"]["receptacles"] if one["receptacle"] == "slot5")
    assert own["status"] == "works once set"
    assert "It sits here today." in own["notes"]
    assert "scratch" not in dict(view["more"]["today"])


def test_a_drive_is_held_to_the_sockets_of_what_sits_there(box: str) -> None:
    view = answered("check", "nvme-2280-gen4", box)
    words = {one["receptacle"]: one["status"] for one in view["plan"]["receptacles"]}
    assert words["scratch/m2c"] == "works"
    assert words["scratch/m2a"] == "does not work"


def test_a_build_file_says_itself_what_is_around_the_board(box: str) -> None:
    code, printed = asked("check", "nic-10g-2p", box, "--chassis", "tower-mini")
    assert code == 2
    assert "--chassis" in printed


def test_a_board_of_unknowns_gives_no_guess() -> None:
    """Whatever is asked of it: a doubtful verdict says what to find out, and nothing breaks."""
    catalog = standard_catalog()
    names = [name for number, name in enumerate(catalog.ids(PartSpec)) if number % 6 == 0]
    carriers = [name for name in catalog.ids(PartSpec) if name.startswith("carrier-m2")]
    open_ones = 0
    for name in [*names, *carriers]:
        for verdict in answered("check", name, "server-as-read")["plan"]["receptacles"]:
            assert (verdict["status"] == "not known") == bool(verdict["unknown"])
            assert all(one["find_out"] for one in verdict["unknown"])
            open_ones += bool(verdict["unknown"])
    assert open_ones > 50


def test_no_board_says_how_a_wide_slot_divides_unless_it_does() -> None:
    """Where nobody named the divisions of a slot, no passive carrier of four works there."""
    view = answered("check", "carrier-m2x4-gen4", "server-as-read")
    assert {one["status"] for one in view["plan"]["receptacles"]} <= {
        "not known",
        "works in part",
        "does not work",
    }


def test_carriers_are_told_slot_by_slot() -> None:
    view = answered("carriers", "old-menu-lies")
    slots = {one["slot"]: one["carriers"] for one in view["plan"]["slots"]}
    four = [one for one in slots["slot6"] if one["kind"].startswith("passive x4+x4+x4+x4")]
    assert [(one["seen"], one["total"]) for one in four] == [(2, 4)]
    switch = [one for one in slots["slot5"] if "switch on x8" in one["kind"]]
    assert (4, 4) in [(one["seen"], one["total"]) for one in switch]
    assert "sata0" not in slots


def test_carriers_for_a_named_drive_only() -> None:
    view = answered("carriers", "workstation", "--with", "nvme-u2-gen4", "--slot", "slot2")
    kinds = [one["kind"] for slot in view["plan"]["slots"] for one in slot["carriers"]]
    assert kinds
    assert all("U.2" in kind for kind in kinds)


def test_why_names_the_rule_and_where_its_facts_are_written(box: str) -> None:
    code, printed = asked("why", box, "accelerator", "m2_1")
    assert code == 1
    assert "FIT001" in printed
    assert "workstation.yaml:" in printed


def test_why_tells_the_price_stage_by_stage(box: str) -> None:
    view = answered("why", box, "nic", "slot2")
    assert view["verdict"]["status"] == "costs"
    assert [one["stage"] for one in view["more"]["stages"] if one["decides"]] == ["moves"]


def test_why_of_where_it_is(box: str) -> None:
    view = answered("why", box, "accelerator", "slot1")
    assert view["verdict"]["status"] == "there"


@pytest.mark.parametrize(
    ("part", "place", "says"),
    [("fan", "slot1", "there is no part fan"), ("scratch-drive", "slot1", "which of several")],
)
def test_why_of_what_is_not_there(box: str, part: str, place: str, says: str) -> None:
    code, printed = asked("why", box, part, place)
    assert code == 2
    assert says in printed


def test_parts_of_the_build_may_be_named_as_what_sits_on_the_part(box: str) -> None:
    """They are taken out of the machine first; three of four drives stay unsaid."""
    words = ("check", "scratch", box, "--slot", "slot1")
    answer = answered(*words, "--with", "m2c=scratch-drive-2")
    assert answer["more"]["drives"] == [["m2c", "nvme-2280-gen4"]]
    assert {"scratch", "scratch-drive-2"}.isdisjoint(dict(answer["more"]["today"]))


def test_an_air_mover_on_its_mount_is_no_endpoint() -> None:
    """The passive card wants 420 LFM of air, 250 move: with the blower on it, it has them."""
    words = ("check", "accelerator", str(DEMO), "--slot", "slot7")
    assert asked(*words)[0] == 1
    answer = answered(*words, "--with", "mount=blower")
    assert answer["verdict"]["status"] == "works"
    assert [one["name"] for one in answer["plan"]["receptacles"][0]["endpoints"]] == ["link"]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["m2c=scratch-drive-2", "m2d=scratch-drive-9"], "scratch-drive-9 is no part of the build"),
        (["m2x=scratch-drive-2"], "scratch has no socket m2x"),
    ],
)
def test_what_is_wrong_with_parts_of_the_build_is_told(
    box: str, given: list[str], said: str
) -> None:
    code, printed = asked(
        "check", "scratch", box, *(word for one in given for word in ("--with", one))
    )
    assert code == 2
    assert said in printed


def test_what_is_to_be_retired_still_sits_there_today(tmp_path: Path) -> None:
    file = tmp_path / "box.yaml"
    file.write_text(f"{BUILD}retire: [scratch]\n", "utf-8")
    code, printed = asked("check", "nic", str(file), "--slot", "slot5")
    assert code == 1
    assert "there today: scratch" in " ".join(printed.split())


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ("", "works once set"),  # nobody said: the board is as it leaves the factory
        ("sequence: {settings_today: {box/slot5: WAY}}", "works"),
        ("sequence: {settings_today: {box/slot5: OWN}}", "works once set"),
    ],
)
def test_what_is_set_today_need_not_be_set(box: str, said: str, word: str) -> None:
    said = said.replace("WAY", "slot5.x4x4x4x4").replace("OWN", "slot5.x16")
    Path(box).write_text(f"{BUILD}{said}\n", "utf-8")
    (verdict,) = answered("check", "scratch", box, "--slot", "slot5")["plan"]["receptacles"]
    assert verdict["status"] == word
