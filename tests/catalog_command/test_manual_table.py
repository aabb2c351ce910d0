"""A manual's slot table becomes a board: lines understood, listed, and none wrong."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from slotfit.answers.catalog.manual_table import board_from_table
from slotfit.load.entities import read_inline
from slotfit.model.board import Board
from tests.catalog_command.manuals import MANUALS, Manual
from tests.catalog_command.typed import typed


@pytest.mark.parametrize("manual", MANUALS.values(), ids=MANUALS)
def test_nothing_is_guessed_and_nothing_dropped(manual: Manual) -> None:
    text = board_from_table(manual.text)
    board = yaml.safe_load(text)
    read_inline(text, Board, "board.yaml")
    made = {one["label"]: one for one in board["receptacles"]}
    for name, fields in made.items():
        told = {key: value for key, value in fields.items() if key not in ("id", "label")}
        wrong = {key for key, value in told.items() if manual.truth.get(name, {}).get(key) != value}
        assert not wrong, (name, told)
    ways = [way["gives"] for one in board.get("lane_groups", ()) for way in one["arrangements"]]
    assert ways == manual.groups
    assert len(board["processors"]) == manual.processors
    listed = text.partition("# Not understood")[2].count("\n#   ") // 2
    assert (len(made), listed) == (manual.understood, manual.listed)
    for word in manual.text.replace("|", " ").replace(",", " ").replace(";", " ").split():
        assert word in text or set(word) <= {"-"}, word


def test_most_lines_are_understood() -> None:
    understood = sum(one.understood for one in MANUALS.values())
    assert understood > 2 * sum(one.listed for one in MANUALS.values())


def test_a_table_is_read_from_a_file_or_from_what_comes_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("table.txt").write_text(MANUALS["runs at"].text, "utf-8")
    assert typed("new", "board", "--table", "table.txt", "-o", "mine.yaml").code == 0
    lint = typed("catalog", "lint", "mine.yaml").out
    assert "To mend" not in lint
    assert typed("new", "part", "--table", "table.txt").code == 2
    assert typed("new", "board", "--table", "gone.txt").code == 2
