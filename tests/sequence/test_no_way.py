"""Where there is no way: the clash is one, nothing in it is idle, and every help told helps."""

from __future__ import annotations

from functools import cache

import pytest

from slotfit import api
from slotfit.answers.sequence.no_way import (
    demands_of,
    helped_task,
    helping,
    helps,
    more_windows,
    with_only,
)
from slotfit.answers.sequence.plan import Sequenced, sequence_of
from slotfit.answers.sequence.referee import faults
from slotfit.model.part import Part
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.model.windows import Task
from slotfit.solve.engine import Clock, Result
from slotfit.solve.windows import possible
from tests.limits import SECONDS
from tests.sequence.rebuilds import (
    LIGHTHOUSE,
    NO_WAY,
    asked_otherwise,
    best,
    catalog,
    changed,
    example,
    planned,
    ready,
)


@cache
def answer() -> Sequenced:
    lent = catalog().load("carrier-m2x2-x8-gen3", Part)
    return sequence_of(example(NO_WAY), best, lambda: (lent,), Clock(SECONDS), lambda *_: None)


def clashing_part_of(task: Task, kept: tuple[str, ...]) -> Result:
    return possible(
        with_only(task, [d for d in demands_of(task) if d.text in kept]), Clock(SECONDS)
    )


def test_it_is_impossible_and_no_number_of_windows_helps() -> None:
    made = answer()
    assert made.status is Status.IMPOSSIBLE
    assert made.scheduled is not None
    assert made.ready.task is not None
    assert made.scheduled.ruled_out > made.ready.task.most_windows


def test_the_demands_clash_and_none_of_them_is_idle() -> None:
    made = answer()
    assert made.no_way is not None
    assert made.ready.task is not None
    told = made.no_way.demands
    assert made.no_way.minimal
    assert clashing_part_of(made.ready.task, told) is Result.INFEASIBLE
    for demand in told:
        rest = tuple(one for one in told if one != demand)
        assert clashing_part_of(made.ready.task, rest) is Result.OPTIMAL, demand


def test_every_help_told_gives_a_sequence_that_stands() -> None:
    made = answer()
    assert made.no_way is not None
    assert made.ready.task is not None
    assert made.no_way.complete
    kinds = {one.helps[0].kind for one in made.no_way.helped}
    assert kinds == {"longer", "window", "carrier", "receptacle"}
    for helped in made.no_way.helped:
        assert len(helped.helps) == 1
        assert helped.scheduled.schedule is not None
        task = helped_task(made.ready.task, helped.helps)
        assert list(faults(task, helped.scheduled.schedule)) == []


def with_down() -> Problem:
    services = [
        {"id": "files", "needs": ["hba", "nic-25"]},
        {"id": "beam-control", "needs": ["beam"], "may_be_down": 1},
    ]
    return asked_otherwise(NO_WAY, services=services)


def with_carrier() -> Problem:
    parts = [*example_parts(), {"id": "spare", "part": "carrier-m2x2-x8-gen3"}]
    return changed(NO_WAY, parts=parts, retire=["plates-old", "plate-old", "spare"])


def example_parts() -> list[object]:
    import yaml  # noqa: PLC0415

    parts: list[object] = yaml.safe_load(NO_WAY.read_text("utf-8"))["parts"]
    return parts


@pytest.mark.parametrize(
    "written",
    [with_down, lambda: asked_otherwise(NO_WAY, at_once=2), with_carrier],
    ids=["longer", "both off", "borrowed carrier"],
)
def test_what_it_says_to_write_makes_the_file_possible(written: object) -> None:
    problem = written()  # type: ignore[operator]
    task = ready(problem)
    made = planned(task)
    assert made.schedule is not None
    assert made.schedule.totals.windows == 2
    assert list(faults(task, made.schedule)) == []


def test_two_helps_are_told_where_no_single_one_is_enough() -> None:
    # In one window: with one machine off no copy, with two off at once no time for it either.
    task = ready(asked_otherwise(NO_WAY, most_windows=1))
    few = [one for one in helps(task, ()) if one.kind == "window"]
    helped, complete = helping(task, few, Clock(SECONDS), lambda *_: None)
    assert complete
    assert [[one.write for one in both.helps] for both in helped] == [
        ["at_once: 2", "most_windows: 5"]
    ]


def test_more_windows_help_where_too_few_are_allowed() -> None:
    task = ready(asked_otherwise(LIGHTHOUSE, most_windows=2))
    assert planned(task).ruled_out == 2
    helped, _ = helping(task, list(more_windows(task)), Clock(SECONDS), lambda *_: None)
    assert [one.helps[0].write for one in helped] == ["most_windows: 6"]
    assert [one.scheduled.schedule and one.scheduled.schedule.totals.windows for one in helped] == [
        3
    ]


def test_a_network_copy_helps_where_the_ends_never_meet() -> None:
    # The copy's target is pinned to fog, whose one long slot takes a single-drive card.
    text = {
        "machines": [
            {"id": "lamp", "board": "./lamp.yaml", "base_w": 160},
            {"id": "fog", "board": "./fog.yaml", "base_w": 120},
        ],
        "parts": [
            {"id": "hba", "part": "hba-8i-sas3"},
            {"id": "old", "part": "nvme-card-x4-gen3", "only": ["lamp/slot2"]},
            {"id": "new", "part": "nvme-card-x4-gen3", "pin": "fog/slot2"},
        ],
        "today": {"hba": "lamp/slot4", "old": "lamp/slot2"},
        "retire": [],
        "sequence": {"copies": [{"from": "old", "to": "new"}], "most_windows": 1},
    }
    made = api.sequence(changed(LIGHTHOUSE, **text), seconds=SECONDS)
    assert made.no_way is not None
    writes = {one.helps[0].write for one in made.no_way.helped}
    assert "copies: {over: network}" in writes
