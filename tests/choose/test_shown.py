"""A finished comparison and headroom as text, JSON, table, picture and page."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import fields, replace
from pathlib import Path
from xml.etree import ElementTree as ET

import html5lib
import pytest

from slotfit.answers.compare.answer import BoardTried, CompareAnswer
from slotfit.answers.compare.text import HEAD, as_csv, as_text, harmless
from slotfit.answers.headroom.answer import HeadroomPlan
from slotfit.answers.headroom.text import as_text as headroom_text
from slotfit.answers.text_layout import as_json
from slotfit.draw.boards import boards_svg
from slotfit.sheet.boards import MOST_DRAWN, as_page
from slotfit.sheet.html_page import hash_of
from tests.choose.finished import FULL, comparison, headroom, named, with_answer, with_boards
from tests.render.hand_answer import HOSTILE, with_plan

GOLDEN = Path(__file__).parent / "golden"
XLINK = "{http://www.w3.org/1999/xlink}href"


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("compare.txt", as_text(comparison())),
        ("compare.csv", as_csv(comparison())),
        ("headroom.txt", headroom_text(headroom())),
    ],
)
def test_the_text_is_the_kept_one(name: str, text: str, request: pytest.FixtureRequest) -> None:
    file = GOLDEN / name
    if request.config.getoption("--update"):
        file.write_bytes(text.encode())
    assert file.read_bytes().decode() == text


def test_no_line_is_wider_than_a_terminal() -> None:
    lines = (as_text(comparison()) + headroom_text(headroom())).splitlines()
    assert [line for line in lines if len(line) > 80] == []


def test_many_boards_are_ranked_and_not_told_part_by_part() -> None:
    text = as_text(with_boards([named(FULL, f"board-{n}") for n in range(5)]), every=True)
    assert "Part by part: name at most 4 boards to see it" in text
    assert all(text.count(f"board-{n}") >= 2 for n in range(5))


def test_json_has_every_field_by_its_name() -> None:
    data = json.loads(as_json(comparison()))
    assert set(data) == {field.name for field in fields(CompareAnswer)}
    first, _, third = (board["tried"] for board in data["plan"]["boards"])
    assert set(first) == {field.name for field in fields(BoardTried)}
    assert data["schema_version"] == 2
    assert first["plan"]["answer"]["plan"]["seats"][0]["item"] == "carrier"
    assert third["plan"] is None
    assert json.loads(as_json(headroom()))["plan"]["rooms"][1]["fits"] == 10


# --- the table ---------------------------------------------------------------


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_the_table_has_a_row_a_board_and_part() -> None:
    found = rows(as_csv(comparison()))
    assert tuple(found[0]) == HEAD
    assert [row["board"] for row in found] == ["first"] * 8 + ["second"] * 8 + ["third.yaml"]
    nic = next(row for row in found if (row["board"], row["part"]) == ("second", "nic"))
    assert nic["why_left_out"] == "slot1 is taken"
    disk = next(row for row in found if (row["board"], row["part"]) == ("second", "disk-1"))
    needs = (disk["needs_in_mb_s"], disk["needs_out_mb_s"], disk["short_mb_s"])
    assert needs == ("3200", "3200", "1200")
    assert found[-1]["why_left_out"].startswith("third.yaml:3:1")


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_no_cell_is_a_formula(start: str) -> None:
    """Whatever a name begins with; OWASP, "CSV Injection", lists these characters."""
    assert harmless(f"{start}1+1") == f"'{start}1+1"
    made = comparison()
    boards = tuple(named(board, f"{start}HYPERLINK(0)") for board in made.plan.boards)
    parts = tuple((f"{start}{part}", f"{start}{what}") for part, what in made.plan.parts)
    table = as_csv(replace(made, plan=replace(made.plan, boards=boards, parts=parts)))
    cells = [cell for row in csv.reader(io.StringIO(table, newline="")) for cell in row]
    assert [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))] == []
    assert harmless(-1) == -1


# --- the picture -------------------------------------------------------------


@pytest.mark.parametrize("dirt", ["clean", "hostile"])
def test_the_picture_is_well_formed_and_says_what_it_shows(dirt: str) -> None:
    made = comparison(HOSTILE) if dirt == "hostile" else comparison()
    root = ET.fromstring(boards_svg(made, made.plan.boards, "p-"))
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    named = (root.get("aria-labelledby") or "").split()
    assert set(named) <= set(ids)
    used = set(re.findall(r"url\(#([^)]+)\)", ET.tostring(root, encoding="unicode")))
    assert used <= set(ids)
    assert not [e for e in root.iter() if e.tag.endswith(("script", "image", "foreignObject"))]
    assert not [e for e in root.iter() if XLINK in e.attrib or "href" in e.attrib]


def test_boards_are_drawn_on_one_scale_with_their_rear_edges_in_line() -> None:
    """The rear edge is the only line 1.6 thick; moved by its group, it is at one height."""
    made = comparison()
    first, second, _ = made.plan.boards
    assert second.tried.plan
    answer = second.tried.plan.answer
    longer = tuple(replace(row, card_length_mm=420.0) for row in answer.plan.rows)
    boards = (first, with_answer(second, with_plan(answer, rows=longer)))
    root = ET.fromstring(boards_svg(made, boards))
    edges = [
        float(line.attrib["y1"]) + float(moved[1])
        for group in root
        if (moved := re.match(r"translate\([\d.]+ ([\d.]+)\)", group.get("transform") or ""))
        for line in group.iter("{http://www.w3.org/2000/svg}line")
        if line.get("stroke-width") == "1.6"
    ]
    assert len(edges) == 2
    assert edges[0] == pytest.approx(edges[1])
    assert "scale(" not in ET.tostring(root, encoding="unicode")


def test_a_board_without_a_plan_is_not_drawn() -> None:
    made = comparison()
    svg = boards_svg(made, made.plan.boards)
    assert "2 boards side by side" in svg
    assert "third.yaml" not in svg


# --- the page ----------------------------------------------------------------


@pytest.mark.parametrize("dirt", ["clean", "hostile"])
def test_the_page_is_valid_and_needs_nothing_but_itself(dirt: str) -> None:
    page = as_page(comparison(HOSTILE) if dirt == "hostile" else comparison())
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    document = parser.parse(page)
    assert [*document.iter("script")] == []
    assert not [e for e in document.iter() if isinstance(e.tag, str) and e.get("src")]
    links = [e.get("href") for e in document.iter("a")]
    ids = {e.get("id") for e in document.iter() if e.get("id")}
    assert {link.removeprefix("#") for link in links} <= ids
    policy = next(e for e in document.iter("meta") if e.get("http-equiv"))
    for style in document.iter("{http://www.w3.org/2000/svg}style"):
        assert hash_of(style.text) in policy.get("content")
    for style in document.iter("style"):
        assert hash_of(style.text) in policy.get("content")


def test_the_page_marks_the_parts_that_differ() -> None:
    parser = html5lib.HTMLParser(namespaceHTMLElements=False)
    document = parser.parse(as_page(comparison()))
    marked = [row.find("th").text for row in document.iter("tr") if row.get("class") == "differs"]
    assert marked == ["disk-1", "nic"]


def test_of_many_boards_the_first_are_drawn() -> None:
    page = as_page(with_boards([named(FULL, f"board-{n}") for n in range(MOST_DRAWN + 1)]))
    assert f"Drawn are the first {MOST_DRAWN}." in page
    assert f"{MOST_DRAWN} boards side by side" in page


def test_a_page_of_no_boards_is_a_page() -> None:
    html5lib.HTMLParser(strict=True).parse(as_page(with_boards([])))


def test_an_addition_of_several_is_counted_once() -> None:
    answer = headroom()
    several = tuple(replace(room, name=f"2 x {room.name}") for room in answer.plan.rooms)
    text = " ".join(headroom_text(replace(answer, plan=HeadroomPlan(several))).split())
    assert "by 10 x drive. Mixtures" in text
