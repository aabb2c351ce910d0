"""
What is not tried would not have helped: it is tried here, on random builds that do not fit.

Boards without receptacles enough, and one receptacle more where none is missing.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random

import pytest

from slotfit import api
from slotfit.answers.no_plan import buy, machines
from slotfit.answers.no_plan.asked_again import Against
from slotfit.answers.no_plan.buy import NEW, extended
from slotfit.answers.no_plan.case import canonical
from slotfit.answers.no_plan.changed import with_board
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.place.plan import best_plan
from slotfit.load.catalog import Catalog, standard_catalog
from slotfit.model.board import Board
from slotfit.model.part import PartSpec
from slotfit.model.plan import Status
from slotfit.model.problem import Part, Problem
from tests.builds import THEMES, small_build
from tests.limits import SECONDS

FEW = 3
MANY = 60


@cache
def shop() -> Shop:
    return Shop(standard_catalog())


def is_impossible(problem: Problem) -> bool:
    return best_plan(canonical(problem), SECONDS).status is Status.IMPOSSIBLE


def builds(theme: str, number: int) -> Iterator[Problem]:
    """Random builds that do not fit."""
    for one in range(number):
        problem = small_build(Random(f"not tried {theme} {one}"), theme)
        if is_impossible(problem):
            yield problem


def skipped_takers(
    problem: Problem, monkeypatch: pytest.MonkeyPatch
) -> Iterator[tuple[Part, PartSpec]]:
    """Parts of the clash, each with an adapter or ribbon for it that is not offered for it."""
    skipped: list[tuple[Part, PartSpec]] = []
    ask = buy.helps

    def helps(made: Problem, part: Part, new: PartSpec, against: Against) -> bool:
        found = ask(made, part, new, against)
        if not found and new.part_class in ("adapter", "riser"):
            skipped.append((part, new))
        return found

    with monkeypatch.context() as patched:
        patched.setattr(buy, "helps", helps)
        api.explain(problem, shop(), SECONDS)
    yield from skipped


def on_it(problem: Problem, part: Part, new: PartSpec) -> Problem:
    """The new part is there, and the part sits on it."""
    called = f"{NEW}{new.id}"
    made = extended(called, new, problem)
    sockets = tuple(receptacle.id for receptacle in made.receptacles if receptacle.owner == called)
    wish = part.wish.model_copy(update={"only": sockets, "required": True})
    parts = (replace(one, wish=wish) if one.id == part.id else one for one in made.parts)
    return replace(made, parts=tuple(parts))


def check_takers(theme: str, number: int, monkeypatch: pytest.MonkeyPatch) -> int:
    """How many were tried in vain, as they should be."""
    tried = 0
    for problem in builds(theme, number):
        for part, new in skipped_takers(problem, monkeypatch):
            if not (part.wish.pin or part.wish.only):
                assert is_impossible(on_it(problem, part, new)), (part.id, new.id)
                tried += 1
    return tried


def check_boards(theme: str, number: int) -> int:
    """The same of boards."""
    tried = 0
    for problem in builds(theme, number):
        for machine in problem.machines:
            for board in every_board():
                if not machines.has_room(problem, machine, forms_of(board)):
                    assert is_impossible(with_board(problem, machine.id, board)), board.id
                    tried += 1
    return tried


@cache
def every_board() -> tuple[Board, ...]:
    return tuple(one.entity for one in shop().catalog.every(Board) if one.entity)


def forms_of(board: Board) -> Counter[str]:
    return Counter(one.form for one in board.receptacles)


def test_one_receptacle_more_would_not_have_helped(monkeypatch: pytest.MonkeyPatch) -> None:
    assert sum(check_takers(theme, FEW, monkeypatch) for theme in THEMES[::5])


def test_boards_without_room_would_not_have_helped() -> None:
    assert sum(check_boards(theme, FEW) for theme in THEMES[1::2])


@pytest.mark.long
@pytest.mark.parametrize("theme", THEMES)
def test_so_it_is_in_many_builds(theme: str, monkeypatch: pytest.MonkeyPatch) -> None:
    check_takers(theme, MANY, monkeypatch)
    check_boards(theme, MANY)


def test_a_board_is_parsed_if_its_file_names_receptacles_enough(tmp_path: Path) -> None:
    (tmp_path / "json.yaml").write_text(
        '{"kind": "board", "id": "json", "processors": [{"id": "cpu0"}], "receptacles":'
        ' [{"id": "slot1", "form": "cem"}, {"id": "m2_1", "form" : "m2-m"}]}'
    )
    (tmp_path / "wrong.yaml").write_text("kind: board\nid: wrong\nreceptacles: [{form: cen}]\n")
    asked: list[Counter[str]] = []

    def enough(named: Counter[str]) -> bool:
        asked.append(named)
        return named["cem"] > 0

    found = [board.id for board in Shop(Catalog((tmp_path,))).boards(enough)]
    assert found == ["json"]
    assert asked == [Counter({"cem": 1, "m2-m": 1}), Counter()]


def test_a_file_that_is_gone_by_then_is_no_board_and_no_part(tmp_path: Path) -> None:
    for name, kind in (("board", "board"), ("card", "part")):
        (tmp_path / f"{name}.yaml").write_text(f"kind: {kind}\nid: {name}\nclass: network-card\n")
    stock = Shop(Catalog((tmp_path,)))
    assert stock.catalog.ids(Board) == ["board"]
    for path in tmp_path.iterdir():
        path.unlink()
    assert list(stock.boards(lambda forms: not forms["cem"])) == []
    assert stock.parts("network-card") == ()


def test_every_board_of_the_catalog_names_its_receptacles_one_by_one() -> None:
    # What a file names is counted in its text: never fewer than the board has.
    named: list[Counter[str]] = []

    def enough(forms: Counter[str]) -> bool:
        named.append(forms)
        return True

    boards = list(shop().boards(enough))
    assert boards
    for board, forms in zip(boards, named, strict=True):
        assert forms_of(board) <= forms, board.id
