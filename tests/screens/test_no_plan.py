"""A plan that does not exist never looks healthy: page and pictures carry the verdict and why."""

from __future__ import annotations

from html import unescape
from pathlib import Path

import pytest

from slotfit.answers.no_plan.text import no_plan_lines
from slotfit.answers.place.of_plan import place
from slotfit.draw.slot_row import slot_row_svg
from slotfit.draw.topology import topology
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import standard_catalog
from slotfit.model.problem import Problem
from slotfit.sheet.sheet import as_sheet, sheet
from tests.limits import SECONDS

TWO_CARDS_FOR_ONE_SLOT = """
kind: build
id: tight
machines:
  - id: box
    board:
      kind: board
      id: one
      size: atx
      processors: [{id: cpu0}]
      rows: [{id: rear, positions: 1}]
      receptacles:
        - {id: slot1, label: SLOT 1, form: cem, width: 16, open_end: false, row: rear, position: 0,
           power_w: 75, generation: 4, lanes: 16, splits: []}
parts:
  - {id: first, part: nic-25g-2p}
  - {id: second, part: nic-25g-2p}
"""
VERDICT = "No: no plan exists"


@pytest.fixture(scope="module")
def tight() -> Problem:
    return load_build_text(TWO_CARDS_FOR_ONE_SLOT, standard_catalog(()), beside=Path())


def test_the_page_says_why_and_what_would_help(tight: Problem) -> None:
    page = unescape(" ".join(as_sheet(sheet(tight, seconds=SECONDS)).split()))
    assert VERDICT in page
    assert "Why there is no plan, and the ways out" in page
    assert page.index("Why: these cannot all hold") < page.index("The machines without a plan")
    assert "slot1 takes one part" in page
    assert "Ways out (" in page
    assert "What goes where" not in page.partition("<main")[2].partition('id="picture"')[2][:400]


def test_its_reasons_stand_on_the_page_line_by_line_and_no_figure_says_all_is_well(
    tight: Problem,
) -> None:
    asked = sheet(tight, seconds=SECONDS)
    assert asked.no_plan
    page = unescape(as_sheet(asked))
    text = page.partition("<pre>")[2].partition("</pre>")[0]
    assert [line.rstrip() for line in text.splitlines()] == [
        " " * (len(line) - len(line.lstrip())) + " ".join(line.split())
        for line in no_plan_lines(asked.plan, asked.no_plan)
    ]
    assert "nothing unproven" not in page


def test_both_pictures_say_it_where_the_plan_would_be(tight: Problem) -> None:
    answer = place(tight, seconds=SECONDS)
    assert VERDICT in slot_row_svg(answer)
    assert VERDICT in topology(answer).graph.source
