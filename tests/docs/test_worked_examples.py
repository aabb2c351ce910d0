"""What two pages work out by hand is what slotfit answers to the build that they show."""

from __future__ import annotations

import re
from pathlib import Path

from slotfit import api
from slotfit.answers.place.answer import PlaceAnswer
from tests.docs.console import ROOT, files_in
from tests.limits import SECONDS

ROW = re.compile(r"^\| `([^`]+)` \|.*\| (\S.*?) \|$", re.MULTILINE)
"""A row that begins with a name in code; its last cell is what comes out."""


def answered(page: str, folder: Path) -> tuple[PlaceAnswer, str]:
    """The answer to the only build of a page, and the text below it."""
    text = (ROOT / "docs" / "explanation" / page).read_text("utf-8")
    ((name, written),) = files_in(text)
    (folder / name).write_text(written, "utf-8")
    answer = api.place(api.load(folder / name), SECONDS)
    assert answer.verdict.status == "proven"
    return answer, text.partition(written)[2]


def test_each_stage_of_the_example_is_what_the_page_works_out(tmp_path: Path) -> None:
    answer, below = answered("preferences.md", tmp_path)
    seats = {seat.item: seat for seat in answer.plan.seats}
    assert len(seats) + len(answer.more.left_out) == 5
    parts, stages = below.split("| stage | by hand | is |")
    found = [(one.value.stage, str(one.value.value)) for one in answer.more.stages]
    assert ROW.findall(stages) == found
    moves = {part: cells for part, cells in ROW.findall(parts) if part in seats}
    assert moves.keys() == seats.keys()
    for part, cells in moves.items():
        rate, how = cells.split(", ")
        assert int(rate) == seats[part].wanted_in_mb_s == seats[part].wanted_out_mb_s
        assert (how == "said") == seats[part].wanted_stated
    for part, receptacle in re.findall(r"`(\w+)` in\s+`(slot\d)`", parts):
        assert seats[part].site == receptacle


def test_each_link_of_the_example_trains_as_the_page_works_out(tmp_path: Path) -> None:
    answer, below = answered("lanes.md", tmp_path)
    assert len(answer.plan.seats) == 5
    rows = re.findall(r"^\| `(\w+)`.*? \| `(\S+)` \|.*\| (\S.*?) \| (\d+) \|$", below, re.MULTILINE)
    links = [
        (seat.item, seat.site, f"wires: {link.text}" if link.to else link.text, str(link.mb_s))
        for seat in answer.plan.seats
        for link in seat.links
    ]
    assert sorted(rows) == sorted(links)
