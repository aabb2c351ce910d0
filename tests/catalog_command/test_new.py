"""Starting files: valid as they are, faithful copies, and never written over anything."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit import api
from slotfit.answers.place.answer import PlaceAnswer
from slotfit.files import catalog_root
from slotfit.load.build_file import load_build, load_build_text
from slotfit.load.catalog import described_in, standard_catalog
from slotfit.load.entities import read_inline
from slotfit.model.board import Board
from tests.catalog.entries import BOARD_IDS, PART_IDS
from tests.catalog_command.typed import typed
from tests.limits import SECONDS

KINDS = ("board", "build", "part", "chassis", "power-supply")


CALLED = {"part": "my-card", "power-supply": "my-supply"}


@pytest.fixture(autouse=True)
def _in_a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("kind", KINDS)
def test_a_template_is_written_and_has_nothing_wrong_but_its_sources(kind: str) -> None:
    done = typed("new", kind, "-o", "mine.yaml")
    assert done.code == 0
    assert done.out.startswith("mine.yaml is written.")
    assert yaml.safe_load(Path("mine.yaml").read_text("utf-8"))["id"] == "mine"
    lint = typed("catalog", "lint", "mine.yaml").out
    assert "To mend" not in lint
    assert "Unlikely" not in lint
    assert ("Without a source" in lint) == (kind != "build")


@pytest.mark.parametrize("kind", KINDS)
def test_without_a_file_it_is_printed(kind: str) -> None:
    done = typed("new", kind)
    assert done.code == 0
    assert yaml.safe_load(done.out)["id"] == CALLED.get(kind, f"my-{kind}")
    assert list(Path().iterdir()) == []


@pytest.mark.parametrize("kind", KINDS)
def test_editors_are_led_to_the_schema(kind: str) -> None:
    first = typed("new", kind).out.splitlines()[0]
    assert first == f"# yaml-language-server: $schema={catalog_root()}/schema/{kind}.json"
    assert Path(first.partition("=")[2]).is_file()


SHORT_FORM = ("from", "generation", "lanes", "splits", "label_order", "reversed")


def test_what_is_commented_out_in_the_board_is_valid_too() -> None:
    """Every `#` line that is YAML taken in: the lane group instead of two slots' short forms."""
    lines = typed("new", "board").out.splitlines()
    lines = [line for line in lines if not line.startswith("    splits: [x16")]
    opened = "\n".join(line.removeprefix("#") if OPENED.match(line) else line for line in lines)
    content = yaml.safe_load(opened.replace("\n lane_groups:", "\nlane_groups:"))
    assert content["receptacles"][0]["splits"][1]["proof"] == "menu-only"
    assert [one["id"] for one in content["processors"]] == ["cpu0", "cpu1"]
    group = content.pop("lane_groups")
    read_inline(yaml.safe_dump(content), Board, "without the lane group")
    for slot in content["receptacles"][:2]:
        for key in SHORT_FORM:
            slot.pop(key, None)
    content["receptacles"][1]["width"] = 8
    read_inline(yaml.safe_dump(content | {"lane_groups": group}), Board, "with the lane group")


OPENED = re.compile(r"#  |# lane_groups:")


def test_the_build_is_a_problem_as_it_stands() -> None:
    typed("new", "build", "-o", "mine.yaml")
    problem = load_build(Path("mine.yaml"), standard_catalog())
    assert [machine.board.id for machine in problem.machines] == ["desktop-steered"]
    assert len(problem.parts) == 5


def said(reference: str) -> dict[str, Any]:
    """What a description says, short forms spelled out."""
    return described_in(standard_catalog(), reference)[2].model_dump()


@pytest.mark.parametrize("origin", BOARD_IDS)
def test_a_copied_board_is_the_same_board_under_another_name(origin: str) -> None:
    typed("new", "board", "--from", origin, "-o", "mine.yaml")
    assert said("mine.yaml") == said(origin) | {"id": "mine"}


@pytest.mark.parametrize("origin", PART_IDS[::20])
def test_a_copied_part_is_the_same_part_under_another_name(origin: str) -> None:
    typed("new", "part", "--from", origin, "-o", "mine.yaml")
    assert said("mine.yaml") == said(origin) | {"id": "mine"}


def test_a_copied_archetype_says_what_to_do_with_it() -> None:
    typed("new", "board", "--from", "server-1p", "-o", "mine.yaml")
    text = Path("mine.yaml").read_text("utf-8")
    assert "# Copied from server-1p." in text
    assert "invented: true                   # take this out" in text
    assert text.count("yaml-language-server") == 1


def test_a_build_begins_from_a_board_of_the_catalog_or_a_file() -> None:
    typed("new", "build", "--from", "server-1p", "-o", "one.yaml")
    assert (
        yaml.safe_load(Path("one.yaml").read_text("utf-8"))["machines"][0]["board"] == "server-1p"
    )
    Path("boards").mkdir()
    typed("new", "board", "-o", "boards/my board.yaml")
    typed("new", "build", "--from", "boards/my board.yaml", "-o", "two.yaml")
    machine = yaml.safe_load(Path("two.yaml").read_text("utf-8"))["machines"][0]
    assert machine["board"] == "./boards/my board.yaml"
    assert load_build(Path("two.yaml"), standard_catalog()).machines[0].board.id == "my-board"


PLACE_ALL = [
    pytest.param(board, marks=[] if number % 4 == 0 else pytest.mark.long)
    for number, board in enumerate(BOARD_IDS)
]
"""Every fourth in the default run: each takes a third of a second."""


@pytest.mark.parametrize("board", PLACE_ALL)
def test_a_fresh_build_from_any_board_of_the_catalog_places(board: str) -> None:
    text = api.new("build", standard_catalog(), board)
    problem = load_build_text(text, standard_catalog())
    assert [machine.board.id for machine in problem.machines] == [board]
    answer = api.place(problem, SECONDS)
    assert isinstance(answer, PlaceAnswer)
    assert answer.verdict.status == "proven", text
    assert answer.plan.seats, text
    assert text == api.new("build", standard_catalog(), board)


def test_a_fresh_build_keeps_the_example_where_it_fits() -> None:
    assert api.new("build", standard_catalog(), "desktop-steered") == api.new(
        "build", standard_catalog()
    )


@pytest.mark.parametrize(("kind", "origin"), [("board", "tower-mid"), ("part", "server-1p")])
def test_nothing_begins_from_another_kind(kind: str, origin: str) -> None:
    done = typed("new", kind, "--from", origin, "-o", "mine.yaml")
    assert done.code == 2
    assert f"a {kind} begins from a {kind}" in done.err
    assert list(Path().iterdir()) == []


def test_a_file_that_is_there_is_left_alone() -> None:
    Path("mine.yaml").write_text("precious", "utf-8")
    done = typed("new", "board", "-o", "mine.yaml")
    assert done.code == 2
    assert "mine.yaml: is there already; --force writes over it" in done.err
    assert Path("mine.yaml").read_text("utf-8") == "precious"
    assert typed("new", "board", "-o", "mine.yaml", "--force").code == 0
    assert "precious" not in Path("mine.yaml").read_text("utf-8")


def test_a_mistake_in_what_is_copied_leaves_no_file() -> None:
    Path("bad.yaml").write_text("kind: board\nid: bad\n", "utf-8")
    done = typed("new", "board", "--from", "bad.yaml", "-o", "mine.yaml")
    assert done.code == 2
    assert "bad.yaml:1:1: processors: missing" in done.err
    assert not Path("mine.yaml").exists()


@pytest.mark.parametrize("name", ["2024", "true", "1e3", "null"])
def test_an_id_that_looks_like_something_else_stays_a_text(name: str) -> None:
    typed("new", "part", "-o", f"{name}.yaml")
    assert yaml.safe_load(Path(f"{name}.yaml").read_text("utf-8"))["id"] == name


def test_a_name_that_is_no_id_is_not_taken_for_one() -> None:
    typed("new", "part", "-o", "my own card.yaml")
    assert yaml.safe_load(Path("my own card.yaml").read_text("utf-8"))["id"] == "my-card"


def test_a_folder_that_is_not_there_is_bad_input() -> None:
    done = typed("new", "part", "-o", "nowhere/mine.yaml")
    assert done.code == 2
    assert "nowhere/mine.yaml" in done.err


def test_another_word_than_a_kind_is_bad_input() -> None:
    assert typed("new", "bord").code == 2
