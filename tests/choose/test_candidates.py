"""Which boards are tried: named ones, build files' machines, the catalog's; each once."""

from __future__ import annotations

from pathlib import Path

import pytest

from slotfit.answers.compare import boards as which
from slotfit.answers.compare.boards import Candidate, on_board
from slotfit.errors import InputError
from slotfit.model.board import Board
from tests.choose.invented import ONE_PROCESSOR, ROOT, board, build, cards, catalog, demo

DEMO = str(ROOT / "examples/demo/build.yaml")


def test_the_only_machine_needs_no_name() -> None:
    assert which.machine_asked(demo(), None) == "archive"


def test_a_machine_that_is_not_there_is_a_mistake() -> None:
    with pytest.raises(InputError, match="there is no machine ridge; write one of archive"):
        which.machine_asked(demo(), "ridge")


def test_a_build_file_stands_for_its_machine_with_chassis_and_supply() -> None:
    (found,) = which.named(DEMO, catalog())
    problem = build(cards("nic"))
    swapped = on_board(problem, "box", found)[0].machines[0]
    own = demo().machines[0]
    assert found.name == "fenwick-2p of archive"
    assert (swapped.chassis, swapped.power_supply) == (own.chassis, own.power_supply)
    assert (swapped.id, swapped.entry.base_w) == ("box", 420)


def test_the_own_board_appears_once_whatever_it_is_named_by() -> None:
    problem = demo()
    by_file, _ = which.gathered([str(ROOT / "examples/demo/board.yaml"), DEMO], catalog())
    found = which.unlike(problem, "archive", [which.own(problem, "archive"), *by_file])
    assert [one.name for one in found] == ["fenwick-2p"]


def test_different_machines_of_one_name_are_told_apart() -> None:
    one, other = board(), board().model_copy(update={"size": "eatx"})
    problem = build(cards("nic"))
    found = which.unlike(problem, "box", [Candidate("x", one), Candidate("x", other)])
    assert [each.name for each in found] == ["x", "x (2)"]


def test_a_board_with_a_mistake_is_set_aside(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("kind: board\nid: bad\nprocessors: []\nreceptacles: []\n", "utf-8")
    good, broken = which.gathered([str(bad), "server-2p", "no-such-board"], catalog())
    assert [one.name for one in good] == ["server-2p"]
    assert [name for name, _ in broken] == [str(bad), "no-such-board"]
    assert f"{bad}:3:1" in broken[0][1]


def test_the_whole_catalog_comes_in_the_order_of_ids() -> None:
    good, broken = which.gathered([], catalog(), every=True)
    assert [one.name for one in good] == catalog().ids(Board)
    assert broken == []
    assert len(good) >= 20


def test_processors_are_tried_as_far_as_there_are_sockets() -> None:
    both = [Candidate("two", board()), Candidate("one", board(ONE_PROCESSOR))]
    found = which.with_processors(both, [2, 1])
    assert [(one.name, one.fitted) for one in found] == [
        ("two, 1 processor", 1),
        ("two, 2 processors", 2),
        ("one, 1 processor", 1),
    ]
    assert which.with_processors(both, []) == both


def test_without_its_chassis_a_board_of_any_size_is_tried() -> None:
    problem = which.without_chassis(demo(), "archive")
    by_file, _ = which.gathered([DEMO], catalog())
    (bare,) = which.in_any_chassis(by_file)
    assert problem.machines[0].chassis is None
    assert bare.machine is not None
    assert bare.machine.chassis is None
