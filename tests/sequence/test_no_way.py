"""Where there is no way: the clash is one, nothing in it is idle, and every help told helps."""

from __future__ import annotations

from functools import cache

import pytest

from slotfit import api
from slotfit.answers.sequence.answer import NoWay
from slotfit.answers.sequence.no_way import (
    Help,
    helped_task,
    helping,
    helps,
    more_windows,
    no_way,
    requirements,
    with_only,
)
from slotfit.answers.sequence.referee import faults
from slotfit.model.part import PartSpec
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
    catalog,
    changed,
    example,
    planned,
    ready,
)


@cache
def task() -> Task:
    return ready(example(NO_WAY))


@cache
def lent() -> PartSpec:
    return catalog().load("carrier-m2x2-x8-gen3", PartSpec)


@cache
def why() -> NoWay:
    made = planned(task())
    assert made.status is Status.IMPOSSIBLE
    return no_way(task(), made, (lent(),), Clock(SECONDS), lambda *_: None)


def clashing_part_of(kept: tuple[str, ...]) -> Result:
    demands = [demand for demand in requirements(task()) if demand.text in kept]
    return possible(with_only(task(), demands), Clock(SECONDS))


def test_it_is_impossible_and_no_number_of_windows_helps() -> None:
    assert planned(task()).ruled_out > task().most_windows
    assert why().ruled_out is None


def test_the_demands_clash_and_none_of_them_is_idle() -> None:
    told = why().demands
    assert why().minimal
    assert clashing_part_of(told) is Result.INFEASIBLE
    for demand in told:
        rest = tuple(one for one in told if one != demand)
        assert clashing_part_of(rest) is Result.OPTIMAL, demand


def test_every_help_told_gives_a_sequence_that_stands() -> None:
    every: dict[tuple[str, ...], Help] = {(one.do,): one for one in helps(task(), (lent(),))}
    assert why().complete
    assert why().tried == len(every)
    kinds = {every[relief.do].kind for relief in why().helps}
    assert kinds == {"longer", "window", "carrier", "receptacle"}
    for relief in why().helps:
        helped = helped_task(task(), [every[relief.do]])
        made = planned(helped).schedule
        assert made is not None
        assert (relief.totals, relief.proven) == (made.totals, True)
        assert list(faults(helped, made)) == []


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
    helped, _ = helping(task, [more_windows(task)], Clock(SECONDS), lambda *_: None)
    assert [one.helps[0].write for one in helped] == ["most_windows: 6"]
    assert [one.schedule.totals.windows for one in helped] == [3]


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
    found = api.sequence(changed(LIGHTHOUSE, **text), seconds=SECONDS).more.no_way
    assert found is not None
    assert ("copies: {over: network}",) in [one.write for one in found.helps]
