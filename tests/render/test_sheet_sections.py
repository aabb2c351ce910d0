"""The sheet with the windows of a sequence and with boards side by side: the same page, whole."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

import html5lib
import pytest

from slotfit.answers.sequence.answer import SequenceDo, SequencePlan, SequenceVerdict
from slotfit.sheet.boards import as_page as compare_page
from slotfit.sheet.sheet import Explorer, SheetAnswer, as_sheet
from slotfit.sheet.windows import as_page as sequence_page
from tests.choose.finished import comparison
from tests.docs.console import run as typed
from tests.render.hand_answer import hand_answer
from tests.sequence.finished import finished

EMPTY = Explorer((), (), ())
NO_WINDOWS = replace(
    finished(),
    plan=SequencePlan((), (), (), ()),
    do=SequenceDo((), ()),
    verdict=SequenceVerdict("no", "impossible", "No way"),
)
EXAMPLES = Path(__file__).parents[2] / "examples"
PAGES = {
    "plan": as_sheet(SheetAnswer(hand_answer(), EMPTY)),
    "windows": as_sheet(SheetAnswer(hand_answer(), EMPTY, finished())),
    "boards": as_sheet(SheetAnswer(hand_answer(), EMPTY, None, comparison())),
    "both": as_sheet(SheetAnswer(hand_answer(), EMPTY, finished(), comparison())),
    "no way": as_sheet(SheetAnswer(hand_answer(), EMPTY, NO_WINDOWS)),
}


@pytest.mark.parametrize("page", PAGES.values(), ids=PAGES)
def test_every_page_is_valid_and_names_nothing_twice(page: str) -> None:
    """html5lib follows the parsing rules of the HTML standard; `strict` raises at each error."""
    html5lib.HTMLParser(strict=True).parse(page)
    ids = Counter(re.findall(r'<[^>]* id="([^"]*)"', page))
    assert [name for name, count in ids.items() if count > 1] == []
    assert not [name for name in ids if name.split() != [name]]  # HTML standard 3.2.6
    targets = re.findall(r'href="#([^"]*)"', page)
    assert set(targets) <= set(ids)
    named = {
        name
        for kind in ("for", "aria-labelledby", "aria-describedby")
        for names in re.findall(rf'{kind}="([^"]*)"', page)
        for name in names.split()
    }
    assert named <= set(ids)
    assert not re.search(r"<[^>]+\sstyle=", page)


def part(page: str, id_: str) -> str:
    """One section of a page."""
    found = re.search(rf'<section[^>]* id="{id_}".*?</section>', page, re.DOTALL)
    assert found, id_
    return found[0]


def test_a_section_a_window_and_word_for_word_as_on_the_page_of_the_sequence() -> None:
    alone, sheet = sequence_page(finished()), PAGES["windows"]
    for window in finished().plan.windows:
        assert part(sheet, f"window-{window.number}") == part(alone, f"window-{window.number}")
    assert part(sheet, "to-know") == part(alone, "to-know")
    assert finished().verdict.headline in sheet


def test_boards_are_word_for_word_as_on_the_page_of_the_comparison() -> None:
    alone, sheet = compare_page(comparison()), PAGES["boards"]
    for name in ("best-first", "totals", "board-parts", "board-picture", "boards"):
        assert part(sheet, name) == part(alone, name)


def test_windows_take_the_place_of_steps_that_do_all_at_once() -> None:
    sheet = PAGES["windows"]
    assert "Into the machine, receptacle by receptacle" in PAGES["plan"]
    assert "Into the machine, receptacle by receptacle" not in sheet
    assert "LnkSta" in part(sheet, "steps")
    assert "After the last window" in part(sheet, "steps")
    assert PAGES["plan"].count('id="done"') == sheet.count('id="done"') == 1


def test_where_there_is_no_way_that_is_said_before_the_steps() -> None:
    page = PAGES["no way"]
    assert page.index("No way.") < page.index("Into the machine, receptacle by receptacle")


def test_ticks_of_a_plan_and_of_its_windows_are_kept_apart() -> None:
    keys = {
        name: found[1]
        for name, page in PAGES.items()
        if (found := re.search(r'data-key="([^"]*)"', page))
    }
    assert keys["plan"] == keys["boards"] == keys["no way"]
    assert keys["windows"] == keys["both"] != keys["plan"]


def test_a_build_with_a_sequence_has_its_windows_on_the_sheet(tmp_path: Path) -> None:
    file = tmp_path / "sheet.html"
    build = EXAMPLES / "sequence-lighthouse" / "build.yaml"
    code, _ = typed(["slotfit", "sheet", str(build), "-o", str(file)])
    page = file.read_text("utf-8")
    assert code == 0
    assert [part(page, f"window-{number}") for number in (1, 2, 3)]
    assert "3 windows" in page


def test_a_build_whose_windows_clash_says_so_and_ends_with_no(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "slotfit.answers.sequence.no_way.helps", lambda *_: ()
    )  # what would help is not looked at here
    file = tmp_path / "sheet.html"
    build = EXAMPLES / "sequence-no-way" / "build.yaml"
    code, _ = typed(["slotfit", "sheet", str(build), "-o", str(file)])
    assert code == 1
    assert "No: no sequence of windows" in part(file.read_text("utf-8"), "windows")


def test_a_board_beside_it_that_is_not_there_is_told(tmp_path: Path) -> None:
    file = tmp_path / "sheet.html"
    build = EXAMPLES / "infeasible-lanes" / "build.yaml"
    code, said = typed(["slotfit", "sheet", str(build), "--beside", "workstatoin", "-o", str(file)])
    assert code == 2
    assert "workstatoin" in "\n".join(said)
    assert not file.exists()
