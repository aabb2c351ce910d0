"""A finished answer as text, picture and page, byte for byte; `pytest --update` rewrites them."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from markupsafe import escape

from slotfit.answers.sequence.answer import SequenceAnswer, WindowNote
from slotfit.answers.sequence.text import as_text
from slotfit.answers.text_layout import as_json
from slotfit.draw.svg import EVERY
from slotfit.draw.windows import windows_svg
from slotfit.sheet.windows import as_page, ticks_key
from tests.sequence.finished import GOLDEN, finished

RENDERERS: dict[str, Callable[[SequenceAnswer], str]] = {
    "windows.txt": as_text,
    "windows.svg": windows_svg,
    "windows.html": as_page,
}


@pytest.mark.parametrize("name", RENDERERS)
def test_the_finished_answer_looks_as_it_did(name: str, request: pytest.FixtureRequest) -> None:
    made, file = RENDERERS[name](finished()), GOLDEN / name
    if request.config.getoption("--update"):
        file.write_text(made, "utf-8", newline="\n")
    assert made == file.read_text("utf-8"), "pytest tests/sequence --update rewrites it"


def test_json_holds_everything_the_answer_does() -> None:
    kept = (GOLDEN / "finished.json").read_text("utf-8")
    assert as_json(finished()) == kept


def test_no_line_of_the_text_is_wider_than_a_terminal() -> None:
    assert [line for line in as_text(finished()).splitlines() if len(line) > 80] == []


def test_the_picture_is_well_formed_and_uses_no_colour_of_its_own() -> None:
    svg = windows_svg(finished())
    ET.fromstring(svg)
    drawn = set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]{6})"', svg))
    assert drawn <= {tone.light for tone in EVERY}


def test_the_picture_tells_everything_without_being_seen() -> None:
    svg = windows_svg(finished())
    (said,) = re.findall(r"<desc[^>]*>(.*?)</desc>", svg)
    for window in finished().plan.windows:
        assert f"Window {window.number}, {' and '.join(window.off)} off" in said
    for work in finished().do.work:
        assert all(f"{move.item} from" in said for move in (*work.out, *work.in_))


def test_what_is_off_is_told_by_a_word_and_a_pattern() -> None:
    svg = windows_svg(finished())
    assert svg.count(">OFF<") == sum(len(window.off) for window in finished().plan.windows)
    assert svg.count("url(#off)") == 3


HOSTILE = '<script>alert("1")</script>&\u202e\x00'


def hostile(answer: SequenceAnswer) -> SequenceAnswer:
    """The same with a name that would break out wherever it is not escaped."""
    plan, do, watch = answer.plan, answer.do, answer.watch
    moves = tuple(replace(move, item=HOSTILE, to_label=HOSTILE) for move in do.work[0].in_)
    work = (replace(do.work[0], in_=moves), *do.work[1:])
    today, first, *rest = plan.stretches
    first = replace(first, checks=(HOSTILE,), copies=(HOSTILE,), stop=HOSTILE)
    places = tuple(
        replace(place, heading=HOSTILE, cells=tuple(replace(c, item=HOSTILE) for c in place.cells))
        for place in plan.places
    )
    return replace(
        answer,
        title=HOSTILE,
        plan=replace(plan, stretches=(today, first, *rest), places=places),
        do=replace(do, work=work),
        watch=replace(watch, risks=(WindowNote(HOSTILE, (1,)),), taken_for_granted=(HOSTILE,)),
    )


class Tags(HTMLParser):
    """The elements of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.seen: Counter[str] = Counter()

    def handle_starttag(self, tag: str, attrs: object) -> None:  # noqa: ARG002
        self.seen[tag] += 1


def test_names_cannot_break_out() -> None:
    svg = windows_svg(hostile(finished()))
    ET.fromstring(svg)
    assert "<script" not in svg
    clean, dirty = Tags(), Tags()
    clean.feed(as_page(finished()))
    dirty.feed(as_page(hostile(finished())))
    assert clean.seen["script"] == dirty.seen["script"] == 1
    assert set(clean.seen) == set(dirty.seen)
    assert "\u202e" not in svg


def test_the_page_needs_nothing_but_itself() -> None:
    page = as_page(finished())
    assert not re.findall(r'(?:src|href)="(?!#)[^"]*"', page)
    assert "default-src 'none'" in page


def test_every_box_to_tick_has_its_words() -> None:
    page = as_page(finished())
    boxes = re.findall(r'<input type="checkbox" id="([^"]+)"', page)
    assert len(boxes) == len(set(boxes))
    assert boxes == re.findall(r'<label for="([^"]+)"', page)
    assert len(boxes) >= sum(len(work.out) + len(work.changes) for work in finished().do.work)


def test_each_window_shows_its_own_cautions() -> None:
    answer, page = finished(), as_page(finished())
    sections = re.findall(r'<section class="window".*?</section>', page, re.DOTALL)
    assert len(sections) == len(answer.plan.windows)
    for window, section in zip(answer.plan.windows, sections, strict=True):
        cautions = [one.text for one in answer.do.cautions if window.number in one.windows]
        assert any("pull every power cord" in one for one in cautions)
        assert all(f"<li>{escape(one)}</li>" in section for one in cautions)
        assert "switch it off and pull every power cord" in section


def test_switching_off_comes_after_what_firmware_is_told_and_before_the_parts() -> None:
    sections = re.findall(r'<section class="window".*?</section>', as_page(finished()), re.DOTALL)
    for section in sections:
        kinds = re.findall(r'<span class="kind">(\w+)</span>', section)
        assert kinds.count("OFF") == 1
        before, after = kinds[: kinds.index("OFF")], kinds[kinds.index("OFF") + 1 :]
        assert set(before) <= {"SET"}
        assert after
        assert "SET" not in after
        assert section.index("cautions") < section.index('class="kind"')


def test_ticks_belong_to_the_same_work() -> None:
    answer = finished()
    assert ticks_key(answer) == ticks_key(replace(answer, seconds=9.0, title="renamed"))
    less = replace(answer, do=replace(answer.do, work=answer.do.work[:-1]))
    assert ticks_key(answer) != ticks_key(less)
