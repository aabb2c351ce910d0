"""Answers fit a screen, at every width, and hold what is asked at an open case."""

from __future__ import annotations

import os
import pty
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from struct import pack

import pytest
import yaml

from slotfit import api
from slotfit.answers.check.asked import carriers, check
from slotfit.answers.check.text import carriers_text, check_text
from slotfit.answers.compare.text import as_text as compare_text
from slotfit.answers.headroom.text import as_text as headroom_text
from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.text import as_text
from slotfit.answers.text_layout import columns, laid_out
from slotfit.load.catalog import standard_catalog
from tests.choose.finished import comparison, headroom
from tests.docs.console import run
from tests.limits import SECONDS

ROOT = Path(__file__).parents[2]
QUESTIONS = yaml.safe_load((Path(__file__).parent / "questions.yaml").read_text("utf-8"))
SCREEN = 45
"""Lines that are looked at."""


@cache
def printed(command: str) -> tuple[str, ...]:
    """A command's output, run in the checkout."""
    words = [str(ROOT / word) if word.startswith("examples/") else word for word in command.split()]
    return tuple(run(["slotfit", *words])[1])


@cache
def plan(name: str) -> PlaceAnswer:
    """An example's answer."""
    return api.place(api.load(ROOT / "examples" / name / "build.yaml"), seconds=SECONDS)


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


def texts() -> dict[str, str]:
    """One answer a command, laid out anew."""
    known = standard_catalog(())
    return {
        "place": as_text(plan("demo")),
        "place --all": as_text(plan("demo"), every=True),
        "disks": as_text(plan("disks-20")),
        "check": check_text(check("carrier-m2x4-gen4", "workstation", known)),
        "check --all": check_text(check("carrier-m2x4-gen4", "workstation", known), every=True),
        "carriers": carriers_text(carriers("old-menu-lies", known)),
        "compare": compare_text(comparison()),
        "headroom": headroom_text(headroom()),
    }


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    with laid_out(width):
        told = texts()
    wide = [(name, line) for name, text in told.items() for line in text.splitlines()]
    assert [(name, line) for name, line in wide if len(line) > width] == []


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
    from slotfit.answers.place.cautions import CAUTIONS  # noqa: PLC0415 - its table, only here
    from slotfit.answers.text_layout import bullet  # noqa: PLC0415 - the same

    assert len(bullet(f"Safety: {', '.join(one.in_short for one in CAUTIONS)}.")) <= 3


# --- a terminal -----------------------------------------------------------------------------------


def typed_at(width: int, *words: str) -> list[str]:
    """What a terminal of that width shows of a command."""
    fcntl = pytest.importorskip("fcntl")
    termios = pytest.importorskip("termios")
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, pack("HHHH", 50, width, 0, 0))
    hidden = ("COLUMNS", "LINES")
    known = {name: value for name, value in os.environ.items() if name not in hidden}
    with subprocess.Popen(
        [sys.executable, "-m", "slotfit", *words],
        stdout=theirs, stderr=theirs, stdin=theirs, cwd=ROOT, env=known,
    ):  # fmt: skip
        os.close(theirs)
        shown = b""
        while True:
            try:
                more = os.read(ours, 65536)
            except OSError:  # what Linux says where the other end is closed
                break
            if not more:
                break
            shown += more
    os.close(ours)
    return shown.decode().replace("\r\n", "\n").splitlines()


def test_the_terminals_own_width_is_used() -> None:
    narrow = typed_at(50, "check", "nic-10g-2p", "desktop-small")
    wide = typed_at(110, "check", "nic-10g-2p", "desktop-small")
    assert max(map(len, narrow)) <= 50
    assert 80 < max(map(len, wide)) <= 110
    assert " ".join(" ".join(narrow).split()) == " ".join(" ".join(wide).split())
    assert "\x1b" not in "".join(narrow)


def test_a_command_that_is_mistyped_is_named_with_the_one_that_was_meant() -> None:
    code, lines = run(["slotfit", "plcae"])
    assert code == 2
    assert lines == [
        "plcae: there is no such command; did you mean place? (slotfit --help lists them)"
    ]
