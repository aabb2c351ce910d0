"""What is said of settings, figures and left-out parts, in builds that are seen through by eye."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import pytest

from slotfit.answers.catalog.answer import CatalogEntry, ListAnswer
from slotfit.answers.catalog.text import list_text
from slotfit.answers.place.decided import WORSE
from slotfit.answers.place.of_plan import SAYS, answer_of, noted
from slotfit.answers.place.plan import best_plan
from slotfit.answers.place.text import as_text
from slotfit.answers.sequence.answer import EndsApart, NoWay
from slotfit.answers.sequence.text import no_way
from slotfit.load.build_file import load_build, load_build_text
from slotfit.load.catalog import standard_catalog
from slotfit.model.words import Stage
from tests.docs.console import run
from tests.limits import SECONDS

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "examples"

SPLIT = """
kind: build
id: split
machines:
  - id: box
    board:
      kind: board
      id: two
      size: atx
      processors: [{id: cpu0}]
      rows: [{id: rear, positions: 2}]
      receptacles:
        - {id: slot1, label: SLOT 1, form: cem, width: 16, open_end: false, row: rear, position: 0,
           power_w: 75, generation: 4, lanes: 16, splits: [x16, x4x4x4x4]}
        - {id: slot2, label: SLOT 2, form: cem, width: 8, open_end: false, row: rear, position: 1,
           power_w: 75, generation: 4, lanes: 8, splits: []}
"""
CARRIER = """
parts:
  - {id: plates, part: carrier-m2x4-gen4, endpoints: 4}
  - {id: plate, part: nvme-2280-gen4, count: 4}
"""


def text_of(text: str, *, every: bool = False) -> str:
    """What `place` prints, on one line."""
    placed = best_plan(load_build_text(text, standard_catalog(()), beside=Path()), SECONDS)
    return " ".join(as_text(answer_of(placed), every=every).split())


def printed(*words: str) -> tuple[int, str]:
    code, lines = run(["slotfit", *words])
    return code, " ".join(" ".join(lines).split())


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("", "must be x4x4x4x4 (SLOT 1 gets x4+x4+x4+x4)"),
        ("slot1.x4x4x4x4", "stays x4x4x4x4 "),
        ("slot1.x16", "SET x4x4x4x4 (now x16; SLOT 1 gets x4+x4+x4+x4)"),
    ],
)
def test_place_goes_by_todays_settings(said: str, expected: str) -> None:
    today = f"sequence: {{settings_today: {{slot1: {said}}}}}\n" if said else ""
    assert expected in text_of(SPLIT + CARRIER + today)


def test_a_free_choice_is_left_as_it_is_today() -> None:
    """A card of eight lanes trains alike either way: nobody is sent to the menu for it."""
    board = SPLIT.replace("x4x4x4x4", "x8x8")
    card = "parts: [{id: nic, part: nic-25g-2p, pin: slot1}]\n"
    said = text_of(board + card + "sequence: {settings_today: {slot1: slot1.x8x8}}\n")
    assert "SET" not in said
    assert "stays x8x8" in said


def test_place_and_sequence_say_the_same_of_a_setting_nobody_told() -> None:
    build = str(EXAMPLES / "sequence-lighthouse" / "build.yaml")
    _, place = printed("place", build)
    _, way = printed("sequence", build)
    assert "must be lamp: Slot 3 lanes: x16" in place
    assert "Slot 3 lanes: x16 (taken to be Slot 3 lanes: x4x4x4x4 now)" in way
    assert "as is" not in place


def test_figures_of_one_part_are_the_same_in_place_why_and_compare(tmp_path: Path) -> None:
    """Twice 25 Gbit/s are 6.25 GB/s; eight lanes of gen 3 carry 7.1, four of them 3.5."""
    file, page = tmp_path / "build.yaml", tmp_path / "boards.html"
    narrow = SPLIT.replace("generation: 4, lanes: 8", "generation: 4, lanes: 4")
    file.write_text(narrow + "parts: [{id: nic, part: nic-25g-2p}]\n", "utf-8")
    _, place = printed("place", str(file), "--all")
    assert re.search(r"nic( \?)? gen 3 x8 6\.2 7\.1 ", place)
    assert "carries: GB/s one way" in place
    _, why = printed("why", str(file), "nic", "slot2")
    assert "would carry 3.5 GB/s one way, not 7.1" in why
    printed("compare", str(file), "--output", str(page))
    assert "needs 6.2, carries 7.1 GB/s one way" in page.read_text("utf-8")


TIGHT = SPLIT.replace("    board:", "    power_supply: {kind: power-supply, id: s, watts: 90}\n"
                      "    base_w: 60\n    board:", 1)  # fmt: skip


def test_who_is_left_out_for_want_of_watts_is_told_so() -> None:
    parts = "parts:\n  - {id: a, part: accel-fan-75w, required: false}\n"
    said = text_of(TIGHT + parts)
    assert "a: slot1: s has 30 W left for the parts of box" in said
    assert "better used by another part" not in said


def test_who_is_left_out_for_a_preference_is_told_which() -> None:
    """Air is not known there, and to rest on nothing unproven counts more than the part."""
    parts = (
        "parts:\n  - {id: nic, part: nic-25g-2p, required: false}\n"
        "preferences: [unproven-facts, optional-parts]\n"
    )
    said = text_of(SPLIT + parts)
    assert "nic: slot1: nothing forbids it there; unproven-facts: more would rest on" in said


def test_who_has_the_receptacles_is_named() -> None:
    parts = (
        "parts:\n  - {id: a, part: nic-25g-2p, pin: slot1}\n"
        "  - {id: b, part: nic-25g-2p, pin: slot2}\n"
        "  - {id: c, part: nic-25g-2p, required: false}\n"
    )
    said = text_of(SPLIT + parts)
    assert "c: no suitable slot is free: slot1 (a) and slot2 (b) are taken or covered" in said


def test_a_retired_part_is_no_optional_part() -> None:
    parts = "parts: [{id: old, part: nic-25g-2p}]\ntoday: {old: slot1}\nretire: [old]\n"
    said = text_of(SPLIT + parts)
    assert "every optional part is placed" in text_of(SPLIT + parts, every=True)
    assert "old: it is being retired" in said


def test_a_better_receptacle_that_stays_empty_says_what_keeps_it_so() -> None:
    """The card gets all it asks for in the lesser slot, and the better one is kept."""
    parts = (
        "parts: [{id: card, part: {id: card, plug: cem x16, links: x16, generation: 4, demand: 1,"
    )
    parts += " thickness: 1, length_mm: 100, height_mm: 100, bracket: full, power: {slot_w: 5},"
    parts += " cooling: none, min_lanes: 4}}]\n"
    said = text_of(
        SPLIT.replace("width: 8, open_end: false", "width: 8, open_end: true, behind_mm: 90")
        + parts,
        every=True,
    )
    assert "card in SLOT 2" in said
    assert "slot1 (stays empty: reserve: more capable receptacles would be taken)" in said


def test_receptacles_that_stay_empty_for_one_reason_are_told_together() -> None:
    empty, held = ("slot3", "slot1"), ("slot2",)
    why = ": reserve: more capable receptacles would be taken"
    assert noted(None, why, empty) == f"slot1 and slot3 (stay empty{why})"
    assert noted("nic", "", held) == "slot2 (holds nic)"


def test_compare_names_the_plugs_that_are_short_as_place_does() -> None:
    build = str(EXAMPLES / "infeasible-lanes" / "build.yaml")
    short = "slot1: the supply of sirocco has 1 pcie-8 plug left for parts"
    _, said = printed("compare", build, "workstation", "--no-chassis")
    assert f"no place for accelerator: {short}" in said
    _, said = printed("compare", build, "workstation", "--no-chassis", "--all")
    assert f"no place for accelerator ({short})" in said


NO_PARTS = SPLIT + "parts: []\n"
TOO_BIG = NO_PARTS.replace(
    "    board:",
    "    chassis: {kind: chassis, id: cube, sizes: [mini-itx], openings: 2}\n    board:",
)


def test_where_nothing_was_asked_that_is_said(tmp_path: Path) -> None:
    file = tmp_path / "build.yaml"
    file.write_text(NO_PARTS, "utf-8")
    code, said = printed("place", str(file))
    assert code == 0
    assert "Yes: nothing was asked, the build names no part" in said


@pytest.mark.parametrize(
    "parts", ["parts: []", "parts: [{id: nic, part: nic-25g-2p, required: false}]"]
)
def test_a_board_that_cannot_be_mounted_is_no_plan(parts: str, tmp_path: Path) -> None:
    file = tmp_path / "build.yaml"
    file.write_text(TOO_BIG.replace("parts: []", parts), "utf-8")
    for words in (["place"], ["sequence"], ["sheet", "-o", str(tmp_path / "x.html")]):
        code, said = printed(words[0], str(file), *words[1:])
        assert code == 1, (words, said)
    _, said = printed("place", str(file))
    assert "two is of size atx and cube has stand-offs for mini-itx" in said
    assert "Everything required is placed" not in said


def test_the_heading_of_a_copy_that_cannot_be_made_is_a_sentence() -> None:
    apart = EndsApart("old to new", "lamp", ("beam",), (("there is no room", "FIT003"),))
    said = [*no_way(NoWay(None, (), True, (apart,), (), 0, True))]
    assert "Why both ends of the copy old to new never run in lamp beside beam" in said


def test_the_catalogs_list_begins_with_its_first_line() -> None:
    entry = CatalogEntry("one", "board", "One board", "one.yaml")
    assert list_text(ListAnswer(1, (entry,), ())).startswith("board (1)\n")


def test_the_two_machines_of_an_example_are_told_apart() -> None:
    problem = load_build(EXAMPLES / "sequence-no-way" / "build.yaml", standard_catalog(()))
    said = " ".join(as_text(answer_of(best_plan(problem, SECONDS)), every=True).split())
    left_over = said.partition("Left over")[2]
    assert "SLOT 2 of lamp" in left_over
    assert "SLOT 2 of fog" in left_over


def test_every_preference_has_its_words() -> None:
    """What is worse, and what a plan comes to, is said of each stage that a build may name."""
    assert set(WORSE) == set(SAYS) == set(get_args(Stage))
