"""A plain search through all states finds the same fewest windows, and no better sequence."""

from __future__ import annotations

from random import Random

import pytest

from slotfit.answers.place.plan import best_plan
from slotfit.answers.sequence.task import ends_of
from slotfit.errors import InputError
from slotfit.model.plan import Placed, Status
from slotfit.model.problem import Problem
from slotfit.model.windows import Task
from slotfit.solve.engine import Clock
from slotfit.solve.windows import schedule
from tests.limits import SECONDS, mostly_long
from tests.sequence.breadth_first import Search, fewest
from tests.sequence.dice import rebuild

FEW, MANY = 100, 1000
"""A rebuild with more layouts than these would take the plain search too long."""


def task_of(problem: Problem) -> Task | None:
    """The task, or None where one of the drawn layouts cannot be."""

    def place(asked: Problem, seconds: float) -> Placed:
        return best_plan(asked, seconds)

    try:
        return ends_of(problem, Clock(SECONDS)).task
    except InputError:
        return None


def search_of(task: Task, most_layouts: int) -> Search:
    """The same rebuild for the plain search, from the same ends."""
    return Search(
        task.problem,
        task.today.places,
        {str(key): way for key, way in task.today.arrangements.items()},
        task.goal.places,
        {str(key): way for key, way in task.goal.arrangements.items()},
        most_layouts,
    )


def agree(task: Task, search: Search) -> None:
    """Compare the two answers; figures behind unproven facts only where there are none."""
    made, expected = schedule(task, Clock(SECONDS), lambda *_: None), fewest(search)
    if expected is None:
        assert made.status is Status.IMPOSSIBLE
        return
    assert made.status is Status.PROVEN
    assert made.schedule is not None
    totals = made.schedule.totals
    figures = (totals.used, totals.touches, totals.reduced, totals.downs, totals.changes)
    compared = 3 if any(seat.facts for seat in task.seating.seats) else 5
    assert (totals.windows, *figures[:compared]) == (expected.windows, *expected.cost[:compared])


def compare(seed: int, most_layouts: int) -> bool:
    """Whether the rebuild of this seed could be compared."""
    task = task_of(rebuild(Random(seed)))
    if task is None:
        return False
    search = search_of(task, most_layouts)
    if len(search.layouts) > most_layouts:
        return False
    agree(task, search)
    return True


@pytest.mark.parametrize("block", mostly_long(range(3), 3))
def test_the_plain_search_finds_the_same(block: int) -> None:
    compared = sum(compare(seed, FEW) for seed in range(block * 40, block * 40 + 40))
    assert compared >= 8, "too few of the rebuilds can be looked at"


@pytest.mark.long
@pytest.mark.parametrize("block", range(3, 18))
def test_the_plain_search_finds_the_same_in_larger_ones(block: int) -> None:
    compared = sum(compare(seed, MANY) for seed in range(block * 40, block * 40 + 40))
    assert compared >= 15, "too few of the rebuilds can be looked at"
