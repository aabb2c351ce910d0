"""A machine that is read and gets nothing new stays as it is: no part moves, no setting changes."""

from __future__ import annotations

from pathlib import Path

import pytest

from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.model.problem import Problem
from slotfit.read.join import join
from slotfit.read.sources import readings_of
from tests.describe.loading import described, loaded
from tests.describe.test_captures import EVERY
from tests.limits import SECONDS, mostly_long
from tests.read.outside import name_of


def stays_as_it_is(problem: Problem) -> None:
    placed = best_plan(problem, SECONDS)
    assert placed.plan is not None
    seats = {seat.part: seat.receptacle for seat in placed.plan.seats}
    assert {part: seats.get(part) for part in problem.today} == problem.today
    answer = answer_of(placed)
    assert "set" not in {one.division.step for one in answer.do.settings}


@pytest.mark.parametrize("path", mostly_long(EVERY, 5), ids=name_of)
def test_every_capture_stays_as_it_is(path: Path, tmp_path: Path) -> None:
    stays_as_it_is(loaded(described(join(readings_of(path))), tmp_path / "made"))
