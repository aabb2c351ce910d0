"""The story of the museum of lighthouses: both carriers in for the copy, the accelerator waits."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest

from slotfit.answers.sequence.referee import faults
from slotfit.answers.sequence.stretches import stretches_of
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.model.windows import Schedule, Task
from tests.sequence.rebuilds import LIGHTHOUSE, asked_otherwise, example, planned, ready


@cache
def lighthouse() -> tuple[Task, Schedule]:
    task = ready(example(LIGHTHOUSE))
    made = planned(task)
    assert made.status is Status.PROVEN
    assert made.schedule is not None
    return task, made.schedule


def test_three_windows_are_the_fewest_and_every_layout_stands() -> None:
    task, made = lighthouse()
    assert (made.totals.windows, made.bound.windows) == (3, 3)
    assert list(faults(task, made)) == []


def test_both_four_drive_carriers_are_in_for_the_copy() -> None:
    _, made = lighthouse()
    during = made.layouts[made.copied[0]]
    drives = [f"{carrier}-{number}" for carrier in ("plate", "plate-old") for number in range(1, 5)]
    assert {during.seat_of[drive].upstream.machine for drive in drives} == {"lamp"}
    assert {during.places["plates-old"], during.places["plates"]} == {"lamp/slot3", "lamp/slot1"}


def test_the_accelerator_waits_for_the_slot_until_the_copy_is_made() -> None:
    _, made = lighthouse()
    comes = [
        n for n, one in enumerate(made.layouts) if one.places.get("accelerator") == "lamp/slot3"
    ]
    assert comes == [3]
    assert made.copied[0] < comes[0]


def test_only_one_machine_is_ever_off_and_files_stay_up_between_windows() -> None:
    task, made = lighthouse()
    assert all(len(window.off) == 1 for window in made.windows)
    files = next(one for one in task.services if one.name == "files")
    for stretch in stretches_of(task, made.layouts, made.copied):
        assert stretch.homes(files) == ("lamp",)


def test_two_machines_off_at_once_take_one_window_less() -> None:
    # Out of fog and into lamp in one go; the copy still parts the work in two.
    made = planned(ready(asked_otherwise(LIGHTHOUSE, at_once=2)))
    assert made.schedule is not None
    assert made.schedule.totals.windows == 2


def test_what_arrives_late_puts_the_rest_off() -> None:
    made = planned(ready(asked_otherwise(LIGHTHOUSE, arrivals={"plates": 3})))
    assert made.schedule is not None
    # In window 3 the carrier goes in, the copy is made, in window 4 the old one comes out.
    assert made.schedule.totals.windows == 4
    assert min(n for n, one in enumerate(made.schedule.layouts) if "plates" in one.seat_of) == 3


def test_agreed_windows_are_kept_to() -> None:
    services = [{"id": "files", "needs": ["hba", "nic-25"], "windows": [2, 4]}]
    made = planned(ready(asked_otherwise(LIGHTHOUSE, services=services)))
    assert made.schedule is not None
    off = [w.number for w in made.schedule.windows if "lamp" in w.off]
    assert off == [2, 4]


def shuffled(problem: Problem, dice: random.Random) -> Problem:
    def mixed(things: tuple[object, ...]) -> tuple[object, ...]:
        return tuple(dice.sample(things, len(things)))

    return replace(
        problem,
        machines=mixed(problem.machines),  # type: ignore[arg-type]
        parts=mixed(problem.parts),  # type: ignore[arg-type]
        receptacles=mixed(problem.receptacles),  # type: ignore[arg-type]
        today=dict(dice.sample(list(problem.today.items()), len(problem.today))),
    )


@pytest.mark.parametrize("seed", range(3))
def test_the_order_of_the_file_makes_no_difference(seed: int) -> None:
    mixed = planned(ready(shuffled(example(LIGHTHOUSE), random.Random(seed)))).schedule
    assert mixed is not None
    told = [[(w.off, w.moves, sorted(map(str, w.changes))) for w in one.windows]
            for one in (mixed, lighthouse()[1])]  # fmt: skip
    assert told[0] == told[1]


@pytest.mark.parametrize("seconds", [0.0, 1e-9])
def test_out_of_time_is_never_called_impossible(seconds: float) -> None:
    made = planned(lighthouse()[0], seconds)
    assert (made.status, made.schedule) == (Status.UNKNOWN, None)
