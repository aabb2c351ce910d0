"""The two commands from end to end: what they print, write and exit with."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest

from slotfit.answers.answer_word import EXIT
from tests.choose.invented import ONE_PROCESSOR, TWO_SLOTS, cards
from tests.docs.console import run

BUILD = """kind: build
id: small
machines: [{id: box, board: ./two-slots.yaml}]
parts:
"""

FUTURES = """kind: futures
futures:
  - {id: one, parts: [{part: nic-10g-2p}]}
  - {id: two, parts: [{part: nic-10g-2p, count: 2}]}
"""


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with two boards, a build that fits both and one that fits neither."""
    (tmp_path / "two-slots.yaml").write_text(TWO_SLOTS, "utf-8")
    (tmp_path / "one-processor.yaml").write_text(ONE_PROCESSOR, "utf-8")
    (tmp_path / "bad.yaml").write_text("kind: board\nid: bad\n", "utf-8")
    (tmp_path / "build.yaml").write_text(BUILD + cards("nic"), "utf-8")
    (tmp_path / "full.yaml").write_text(BUILD + cards("a", "b", "c"), "utf-8")
    (tmp_path / "futures.yaml").write_text(FUTURES, "utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_compare_ranks_the_boards(here: Path) -> None:
    code, lines = run(["slotfit", "compare", "build.yaml", "./one-processor.yaml"])
    assert code == 0
    assert lines[0] == "small: the same parts on 2 boards"
    assert "two-slots" in "\n".join(lines)
    assert here.is_dir()


@pytest.mark.usefixtures("here")
def test_compare_writes_what_was_asked_for() -> None:
    code, lines = run(
        [
            *("slotfit", "compare", "build.yaml", "./one-processor.yaml", "--json"),
            *("--draw", "boards.svg", "-o", "page.html", "--csv", "table.csv"),
        ]
    )
    assert code == 0
    data = json.loads("\n".join(lines))
    assert sorted(one["tried"]["name"] for one in data["plan"]["boards"]) == [
        "one-processor",
        "two-slots",
    ]
    assert Path("boards.svg").read_text("utf-8").startswith("<svg ")
    assert Path("page.html").read_text("utf-8").startswith("<!doctype html>")
    with Path("table.csv").open(newline="") as table:
        assert {row["part"] for row in csv.DictReader(table)} == {"nic"}


@pytest.mark.usefixtures("here")
@pytest.mark.parametrize(
    ("option", "file", "says"),
    [
        ("--draw", "boards.gif", "write a name that ends in .svg or .png"),
        ("-o", "page.txt", "write a name that ends in .html or .htm"),
        ("--csv", "table.xls", "write a name that ends in .csv"),
        ("--csv", "nowhere/table.csv", "there is no folder nowhere"),
    ],
)
def test_a_wrong_file_is_told_before_anything_is_solved(option: str, file: str, says: str) -> None:
    assert run(["slotfit", "compare", "build.yaml", option, file]) == (2, [f"{file}: {says}"])


@pytest.mark.usefixtures("here")
def test_a_bad_board_is_reported_and_the_others_go_on() -> None:
    code, lines = run(["slotfit", "compare", "build.yaml", "bad.yaml", "./one-processor.yaml"])
    text = "\n".join(lines)
    assert code == 0
    assert "bad.yaml could not be tried:\nbad.yaml:1:1: " in text
    assert "Yes: take one-processor and two-slots." in lines


@pytest.mark.usefixtures("here")
def test_where_nothing_can_be_tried_the_input_was_wrong() -> None:
    assert run(["slotfit", "compare", "build.yaml", "bad.yaml", "--no-own"])[0] == 2


@pytest.mark.usefixtures("here")
def test_where_no_board_takes_everything_the_answer_is_no() -> None:
    code, lines = run(["slotfit", "compare", "full.yaml", "./one-processor.yaml"])
    assert code == 1
    assert "No: no board takes everything; nearest is one-processor." in lines
    assert "  - 1. one-processor: no place for 1 part, such as c: " in "\n".join(lines)


@pytest.mark.usefixtures("here")
def test_without_boards_the_own_one_stands_alone() -> None:
    code, lines = run(["slotfit", "compare", "build.yaml"])
    assert code == 0
    assert lines[:2] == ["small: the same parts on 1 board", "Yes: take two-slots."]


@pytest.mark.usefixtures("here")
def test_futures_are_held_against_each_board() -> None:
    code, lines = run(
        ["slotfit", "compare", "build.yaml", "./one-processor.yaml", "--futures", "futures.yaml"]
    )
    assert code == 0
    assert "% of the likely futures by weight: " in "\n".join(lines)


@pytest.mark.usefixtures("here")
def test_headroom_says_yes_no_and_wrong() -> None:
    ask = ["slotfit", "headroom", "build.yaml"]
    assert run([*ask, "--expect", "nic-10g-2p"])[0] == EXIT["yes, if"]
    assert run([*ask, "--expect", "nic-10g-2p=2"])[0] == 1
    assert run([*ask, "--futures", "futures.yaml"])[0] == 1
    assert run([*ask, "--expect", "no-such-part"])[0] == 2
    assert run([*ask, "--expect", "nic-10g-2p=2x"]) == (
        2,
        ["--expect: nic-10g-2p=2x: write how many as a whole number, such as nic-10g-2p=4"],
    )
    assert run(["slotfit", "headroom", "full.yaml"])[0] == 1
    assert run(ask)[0] == 0


@pytest.mark.usefixtures("here")
def test_headroom_tries_expectations_singly_and_together() -> None:
    _, lines = run(
        [
            *("slotfit", "headroom", "build.yaml", "--json"),
            *("--expect", "nic-10g-2p", "--expect", "nic-1g-1p"),
        ]
    )
    rooms = json.loads("\n".join(lines))["plan"]["rooms"]
    assert [(room["name"], room["fits"]) for room in rooms] == [
        ("nic-10g-2p", 1),
        ("nic-1g-1p", 1),
        ("all of them together", 0),
    ]


@pytest.mark.parametrize("command", ["compare", "headroom"])
def test_help_loads_no_solver(command: str) -> None:
    code = (
        "import sys; from slotfit.cli.main import run\n"
        f"sys.argv = ['slotfit', '{command}', '--help']\n"
        "try: run()\nexcept SystemExit: pass\n"
        "print([name for name in sys.modules if name.startswith('ortools')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"
    assert f"Example: slotfit {command} examples/demo/build.yaml" in done.stdout
