"""Answers fit a screen, at every width, and hold what is asked at an open case."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
import yaml

from slotfit.answers.compare.text import as_text as compare_text
from slotfit.answers.place.cautions import CAUTIONS, WHILE_IT_RUNS, safety
from slotfit.answers.place.text import as_text
from slotfit.answers.text_layout import bullet, columns, laid_out
from tests.choose.finished import comparison
from tests.docs.console import run
from tests.screens.told import ROOT, plan, texts

QUESTIONS = yaml.safe_load((Path(__file__).parent / "questions.yaml").read_text("utf-8"))
SCREEN = 45
"""Lines that are looked at."""


@cache
def printed(command: str) -> tuple[str, ...]:
    """A command's output, run in the checkout."""
    words = [str(ROOT / word) if word.startswith("examples/") else word for word in command.split()]
    return tuple(run(["slotfit", *words])[1])


def asked() -> Iterator[tuple[str, str, str]]:
    for command, questions in QUESTIONS.items():
        yield from ((command, question, pattern) for question, pattern in questions)


def test_there_are_thirty_questions() -> None:
    assert len([*asked()]) >= 30


@pytest.mark.parametrize(("command", "question", "pattern"), [*asked()])
def test_the_first_screen_answers(command: str, question: str, pattern: str) -> None:
    assert any(re.search(pattern, line) for line in printed(command)[:SCREEN]), question


@pytest.mark.parametrize(
    ("command", "most"),
    [
        ("place examples/demo/build.yaml", 45),
        ("place examples/disks-20/build.yaml", 60),
        ("check carrier-m2x4-gen4 workstation", 25),
        ("carriers old-menu-lies", 25),
    ],
)
def test_an_answer_is_no_longer_than_a_screen(command: str, most: int) -> None:
    lines = printed(command)
    assert len(lines) <= most, "\n".join(lines)


def test_two_boards_are_compared_within_forty_lines() -> None:
    assert len(compare_text(comparison()).splitlines()) <= 40


def test_a_sequence_of_three_windows_is_told_within_seventy_lines() -> None:
    lines = printed("sequence examples/sequence-lighthouse/build.yaml")
    assert sum(line.startswith("Window ") for line in lines) == 3
    assert len(lines) <= 70, "\n".join(lines)


def test_a_machine_that_runs_as_planned_is_told_in_a_few_lines() -> None:
    told = dict(texts())
    assert len(told["verify"].splitlines()) <= 15
    assert len(told["read"].splitlines()) <= 45


WIDTHS = [40, 60, 80, 120]


@pytest.mark.parametrize("width", WIDTHS)
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    """But for one word alone: a path or a command is not broken, to be copied."""
    with laid_out(width):
        told = [*texts()]
    wide = [(name, line) for name, text in told for line in text.splitlines() if len(line) > width]
    assert [(name, line) for name, line in wide if len(line.split()) > 1] == []


def words_in(text: str) -> set[str]:
    """Words and figures without the signs that set them apart; none that was cut."""
    found = (word.strip(" .,:;()[]#>{}") for word in text.split() if "…" not in word)
    return {word for word in found if re.search(r"\w", word)} - TITLES


TITLES = {"slot", "goes", "receptacle", "part", "gives", "name", "class", "KIND", "seen"}
"""Of columns: a card needs none for its first cell, nor for one in which nothing stands."""


@pytest.mark.parametrize("width", WIDTHS[:-1])
def test_no_word_of_any_answer_is_lost_where_it_is_narrow(width: int) -> None:
    with laid_out(WIDTHS[-1]):
        wide = dict(texts())
    with laid_out(width):
        narrow = dict(texts())
    for name, text in wide.items():
        whole = re.sub(r"\s", "", narrow[name])
        assert [word for word in words_in(text) if word not in whole] == [], name


def test_the_verdict_stands_in_the_first_lines_of_every_answer() -> None:
    """After what it is about, and before anything else."""
    with laid_out(WIDTHS[-1]):
        told = {name: text for name, text in texts() if not name.startswith("catalog")}
    for name, text in told.items():
        lines = text.splitlines()[:4]
        assert any(re.match("(Yes|No|Yes, if|Out of time)\\b.*: ", line) for line in lines), name


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_every_width_says_the_same(width: int) -> None:
    """A narrow terminal loses no part and no place."""
    with laid_out(width):
        flat = " ".join(as_text(plan("demo"), every=True).split())
    for seat in plan("demo").plan.seats:
        assert seat.item in flat
        assert seat.label in flat


def test_a_table_is_one_line_a_row_where_there_is_room_and_cards_where_not() -> None:
    head, rows = ("slot", "part", "link"), [("SLOT 1", "nic", "gen 3 x8"), ("SLOT 2", "hba", "-")]
    with laid_out(70):
        assert [*columns(head, rows)] == [
            "  slot    part  link",
            "  SLOT 1  nic   gen 3 x8",
            "  SLOT 2  hba   -",
        ]
    with laid_out(69):
        assert [*columns(head, rows)] == [
            "  SLOT 1: part nic; link gen 3 x8",
            "  SLOT 2: part hba",
        ]


def test_all_of_it_has_what_the_short_answer_leaves_out() -> None:
    """Every figure, reason and caution of the answer, and each part by its own name."""
    answer = plan("demo")
    flat = " ".join(as_text(answer, every=True).split())
    assert all(" ".join(caution.split()) in flat for caution in answer.do.cautions)
    assert all(" ".join(one.reason.split()) in flat for one in answer.more.reasons)
    assert all(" ".join(one.says.split()) in flat for one in answer.more.stages)
    assert all(f" {seat.item} " in flat for seat in answer.plan.seats)


def test_cautions_take_three_lines_however_many_apply() -> None:
    for alike in (CAUTIONS, WHILE_IT_RUNS):
        assert len(bullet(safety(one.in_short for one in alike))) <= 3


def test_a_command_that_is_mistyped_is_named_with_the_one_that_was_meant() -> None:
    code, lines = run(["slotfit", "plcae"])
    assert code == 2
    assert lines == [
        "plcae: there is no such command; did you mean place? (slotfit --help lists them)"
    ]
