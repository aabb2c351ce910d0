"""The referee of sequences finds what is wrong with a schedule, whoever made it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

import pytest

from slotfit.answers.sequence.referee import faults
from slotfit.model.windows import Layout, Move, Schedule, Task, Window
from tests.sequence.test_examples import lighthouse

Tamper = Callable[[Task, Schedule], tuple[Task, Schedule]]


def windows(made: Schedule, number: int, **changed: object) -> Schedule:
    """The schedule with something else in one window."""
    every = list(made.windows)
    every[number - 1] = replace(every[number - 1], **changed)  # type: ignore[arg-type]
    return replace(made, windows=tuple(every))


def without(layout: Layout, part: str) -> Layout:
    places = {one: receptacle for one, receptacle in layout.places.items() if one != part}
    seats = tuple(seat for seat in layout.seats if seat.part != part)
    return Layout(places, layout.arrangements, seats)


def hidden_move(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    return task, windows(made, 1, moves=made.windows[0].moves[1:])


def touched_while_on(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    return task, windows(made, 1, off=("fog",))


def both_off(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    return task, windows(made, 1, off=("fog", "lamp"))


def hidden_setting(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    return task, windows(made, 1, changes=())


def copied_too_early(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    return task, replace(made, copied=(0,))


def copied_through(card: str, task: Task, made: Schedule) -> tuple[Task, Schedule]:
    """The copy goes over a cable between cards instead of within the machine."""
    (copy,) = task.copies
    return replace(task, copies=(replace(copy, network=True, through=(card,)),)), made


def ends_elsewhere(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    last: Window = made.windows[-1]
    after = without(last.after, "accelerator")
    moves = tuple(one for one in last.moves if one.item != "accelerator")
    return task, windows(made, 3, after=after, moves=moves)


def wrong_figures(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    return task, replace(made, totals=replace(made.totals, touches=made.totals.touches - 1))


def service_down(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    strict = tuple(replace(one, may_be_down=0) for one in task.services)
    return replace(task, services=strict), made


def cut_off(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    agreed = tuple(
        replace(one, windows=(2,)) if one.name == "files" else one for one in task.services
    )
    return replace(task, services=agreed), made


def not_there_yet(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    return replace(task, arrivals={"plates": 3}), made


def two_in_one_place(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    after = made.windows[0].after
    places = {**after.places, "index-carrier": "lamp/slot2"}
    window = replace(
        made.windows[0],
        after=Layout(places, after.arrangements, after.seats),
        moves=(
            *(one for one in made.windows[0].moves if one.item != "index-carrier"),
            Move("index-carrier", "lamp/slot5", "lamp/slot2"),
        ),
    )
    return task, replace(made, windows=(window, *made.windows[1:]))


def another_start(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    return task, replace(made, today=without(made.today, "capture"))


def both_halves_out(task: Task, made: Schedule) -> tuple[Task, Schedule]:
    mirror = replace(task.mirrors[0], members=(("capture",), ("accelerator",)), name="both")
    return replace(task, mirrors=(mirror,)), made


@pytest.mark.parametrize(
    ("tamper", "says"),
    [
        (hidden_move, "window 1: its moves are not what changes"),
        (touched_while_on, "window 1: plates is touched while lamp runs"),
        (both_off, "window 1: 2 machines are off at once"),
        (hidden_setting, "window 1: its settings are not what changes"),
        (copied_too_early, "plates-old to plates cannot be copied after window 0"),
        (partial(copied_through, "capture"), "plates-old to plates cannot be copied after window"),
        (ends_elsewhere, "accelerator ends in None, not in lamp/slot3"),
        (wrong_figures, "the figures are"),
        (service_down, "studio is down in 1 stretches"),
        (cut_off, "files is cut off in window 1"),
        (not_there_yet, "window 1: plates@lamp/slot1"),
        (two_in_one_place, "after window 1: two parts in lamp/slot2"),
        (another_start, "it begins with another layout than today's"),
        (both_halves_out, "both is parted from its data"),
    ],
)
def test_it_finds_the_fault(tamper: Tamper, says: str) -> None:
    found = list(faults(*tamper(*lighthouse())))
    assert [fault for fault in found if fault.startswith(says)], found


def test_a_copy_through_a_card_beside_its_drives_is_no_fault() -> None:
    assert list(faults(*copied_through("nic-25", *lighthouse()))) == []
