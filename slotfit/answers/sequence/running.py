"""What comes and goes while its machine runs, and what would if somebody looked it up."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.answers.sequence.names import place_name, speed_steps
from slotfit.hardware.live import takes_live, to_look_up
from slotfit.listing import listed
from slotfit.model.seat import Seat
from slotfit.model.windows import Layout, Schedule, Task, Window

LOOK = "see their manuals for 'hot swap', then write `live_swap` there, for bays in the chassis"


def saved_by_looking(task: Task, made: Schedule) -> Iterator[str]:
    """Windows that are there only because nobody knows of a place that it takes a part then."""
    for window, before in zip(made.windows, made.layouts, strict=False):
        if places := unknown_places(task, window, before):
            yield (
                f"whether drives can come and go in {listed(places)} while the machine runs is not "
                f"known, and taken as no; a yes would save switching off in window {window.number} "
                f"({LOOK})"
            )


def unknown_places(task: Task, window: Window, before: Layout) -> tuple[str, ...]:
    """Places of which a yes would let a whole window be done while the machines run."""
    problem, after = task.problem, window.after
    found: list[str] = []
    held = (speed_steps(problem, machine, before, after) for machine in window.off)
    if window.changes or any(list(steps) for steps in held):
        return ()
    for move in window.moves:
        sits = [one.seat_of for one in (before, after) if move.item in one.seat_of]
        if len(sits) > 1 and move.item not in task.idle:
            return ()
        for seat_of in sits:
            seat = seat_of[move.item]
            places = [live_name(task, seat, one) for one in to_look_up(problem, seat, seat_of)]
            if not places and not takes_live(problem, seat):
                return ()
            found += places
    return tuple(dict.fromkeys(found))


def live_name(task: Task, seat: Seat, receptacle: str | None) -> str:
    """`port0 of hba`, `the bays of flat`."""
    if receptacle is not None:
        return place_name(task.problem, receptacle, machine=True)
    machine = task.problem.machine[seat.upstream.machine]
    return f"the bays of {machine.chassis.id if machine.chassis else machine.id}"
