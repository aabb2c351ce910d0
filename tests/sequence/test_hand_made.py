"""Rebuilds made by hand to need several windows: so many are needed, and a plain search agrees."""

from __future__ import annotations

import pytest

from slotfit.answers.sequence.referee import faults
from slotfit.model.plan import Status
from tests.bench.hand_made import cases, small, whole
from tests.limits import mostly_long
from tests.sequence.rebuilds import planned, ready
from tests.sequence.test_against_breadth_first import MANY, agree, search_of, task_of

SLOW = ("every-other-window", "copy-of-a-copy", "by-way-of-the-spare-slot", "four-in-turn")
"""The plain search takes seconds, or half a minute and more, to look at these."""

QUICK = [name for name, build in cases().items() if "small" in build and name not in SLOW]


@pytest.mark.parametrize("name", cases())
def test_each_needs_as_many_windows_as_its_author_counted(name: str) -> None:
    task, windows = ready(whole(name)), cases()[name]["windows"]
    made = planned(task)
    assert made.status is (Status.IMPOSSIBLE if windows is None else Status.PROVEN)
    assert (made.schedule.totals.windows if made.schedule else None) == windows
    assert made.schedule is None or list(faults(task, made.schedule)) == []


@pytest.mark.parametrize(
    "name",
    [*mostly_long(QUICK, 3, 2), *(pytest.param(name, marks=pytest.mark.long) for name in SLOW)],
)
def test_a_plain_search_through_the_small_ones_finds_the_same(name: str) -> None:
    task = task_of(small(name))
    assert task is not None
    search = search_of(task, MANY)
    assert len(search.layouts) <= MANY, "too large to look at"
    agree(task, search)
