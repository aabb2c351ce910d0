"""A plan that does not exist never looks healthy: page and pictures carry the verdict and why."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

import pytest

from slotfit.answers.no_plan.explain import explain, no_plan_answer
from slotfit.answers.no_plan.text import no_plan_in_short, no_plan_lines
from slotfit.answers.place.of_plan import place
from slotfit.answers.text_layout import laid_out
from slotfit.draw.slot_row import slot_row_svg
from slotfit.draw.topology import topology
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import standard_catalog
from slotfit.model.problem import Problem
from slotfit.sheet.sheet import as_sheet, sheet
from tests.docs.console import run
from tests.limits import SECONDS
from tests.screens.told import TIGHT

VERDICT = "No: no plan exists"


@pytest.fixture(scope="module")
def tight() -> Problem:
    return load_build_text(TIGHT, standard_catalog(()), beside=Path())


def test_the_page_says_why_and_what_would_help(tight: Problem) -> None:
    page = unescape(" ".join(as_sheet(sheet(tight, seconds=SECONDS)).split()))
    assert VERDICT in page
    assert "Why there is no plan, and the ways out" in page
    assert page.index("Why: these cannot all hold") < page.index("The machines without a plan")
    assert "slot1 takes one part" in page
    assert "Ways out (" in page
    assert "What goes where" not in page.partition("<main")[2].partition('id="picture"')[2][:400]


def test_its_reasons_stand_on_the_page_paragraph_by_paragraph_and_no_figure_says_all_is_well(
    tight: Problem,
) -> None:
    asked = sheet(tight, seconds=SECONDS)
    assert asked.no_plan
    page = unescape(as_sheet(asked))
    text = page.partition('<div class="reasons">')[2].partition("</div>")[0]
    told = re.findall(r"<p class=\"in\d\">(.*?)</p>", text, re.DOTALL)
    with laid_out(10_000):
        lines = [*no_plan_lines(asked.plan, asked.no_plan)]
    assert told == [" ".join(line.split()) for line in lines if line.strip()]
    assert "nothing unproven" not in page


def test_both_pictures_say_it_where_the_plan_would_be(tight: Problem) -> None:
    answer = place(tight, seconds=SECONDS)
    told = no_plan_answer(explain(tight, seconds=SECONDS))
    why = [*no_plan_in_short(answer, told)]
    for drawn in (slot_row_svg(answer, no_plan=why), topology(answer, why).graph.source):
        words = " ".join(re.sub(r"<[^>]*>", " ", unescape(drawn)).split())
        assert VERDICT in words
        assert "slot1 takes one part" in words
        assert "Way out 1: " in words


@pytest.mark.parametrize("asked_for", [["draw", "-o"], ["place", "--draw"]])
def test_the_commands_draw_the_reasons_too(asked_for: list[str], tmp_path: Path) -> None:
    build, picture = tmp_path / "tight.yaml", tmp_path / "tight.svg"
    build.write_text(TIGHT, "utf-8")
    verb, option = asked_for
    code, _ = run(["slotfit", verb, str(build), option, str(picture)])
    assert code == 1
    drawn = unescape(picture.read_text("utf-8"))
    assert VERDICT in drawn
    assert "takes one part" in drawn
    assert "Way out 1" in drawn
