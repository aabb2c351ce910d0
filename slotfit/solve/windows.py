"""
The fewest windows from today's layout to the goal, and of those sequences the best.

One window more at a time: the first number of windows that does is the fewest. The order of what
is made small then is that of `Totals`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from slotfit.model.seat import Seat
from slotfit.model.status import Status
from slotfit.model.windows import (
    Change,
    Layout,
    Move,
    Schedule,
    Scheduled,
    Task,
    Totals,
    Window,
)
from slotfit.natural_order import natural
from slotfit.solve.attempt import Attempt, does, tried
from slotfit.solve.chain import Chain
from slotfit.solve.clock import Clock
from slotfit.solve.engine import Result
from slotfit.solve.layer import Layer, layer_of
from slotfit.solve.never import never_copied

Progress = Callable[[str, int, int], None]


EVER = 10**6
"""Windows are ruled out up to this number where none at all do."""

LOOK_AHEAD = 5
"""After so many windows did not do it is worth asking whether the most that are allowed do."""


def schedule(task: Task, clock: Clock, progress: Progress) -> Scheduled:
    """
    The best schedule, or the word that none of up to `most_windows` windows does.

    Out of time, or at Ctrl-C, it is the best so far, or what is ruled out by then.
    """
    so_far = Ruled()
    try:
        return deepened(layer_of(task), clock, progress, so_far)
    except KeyboardInterrupt:  # between two solves: what is ruled out by then stays so
        clock.stopped = True
        return Scheduled(Status.UNKNOWN, None, clock.spent, so_far.out)


@dataclass
class Ruled:
    """So many windows are ruled out so far; -1: nothing is known."""

    out: int = -1


def deepened(layer: Layer, clock: Clock, progress: Progress, ruled: Ruled) -> Scheduled:
    """One window more at a time."""
    task = layer.task
    if never_copied(layer, clock) is not None:
        return Scheduled(Status.IMPOSSIBLE, None, clock.spent, EVER)
    for windows in range(task.most_windows + 1):
        name = "1 window" if windows == 1 else f"{windows} windows"
        progress(name, windows, task.most_windows + 1)
        if windows == LOOK_AHEAD and none_does(layer, clock):
            return Scheduled(Status.IMPOSSIBLE, None, clock.spent, task.most_windows)
        attempt, result = tried(layer, windows, clock)
        if attempt is not None:
            return found(attempt, clock, ruled.out)
        if result is not Result.INFEASIBLE:
            return Scheduled(Status.UNKNOWN, None, clock.spent, ruled.out)
        ruled.out = windows
    return Scheduled(Status.IMPOSSIBLE, None, clock.spent, ruled.out)


def none_does(layer: Layer, clock: Clock) -> bool:
    """Whether not even the most windows that are allowed do."""
    task = layer.task
    all_in_one = more_is_never_worse(task)
    return all_in_one and does(layer, task.most_windows, clock) is Result.INFEASIBLE


def possible(task: Task, clock: Clock) -> Result:
    """Whether any number of windows up to the most does: OPTIMAL for yes."""
    layer = layer_of(task)
    if never_copied(layer, clock) is not None:
        return Result.INFEASIBLE
    if more_is_never_worse(task):
        return does(layer, task.most_windows, clock)
    for windows in range(task.most_windows + 1):
        result = does(layer, windows, clock)
        if result is not Result.INFEASIBLE:
            return result
    return Result.INFEASIBLE


def more_is_never_worse(task: Task) -> bool:
    """
    Whether a window without work can always come first.

    Nothing changes in it, and what runs today goes on running; only windows that are agreed by
    their numbers would be others.
    """
    return all(one.windows is None or one.new for one in task.services)


def found(attempt: Attempt, clock: Clock, ruled_out: int) -> Scheduled:
    """The schedule that the values describe."""
    chain, values = attempt.chain, attempt.values or ()
    layouts = [chain.task.today]
    layouts += [layout_at(chain, values, stretch) for stretch in range(1, chain.windows + 1)]
    windows = [window_of(chain, values, layouts, number) for number in range(1, len(layouts))]
    reached: list[int] = []
    bounds: list[int] = []
    for number, step in enumerate(attempt.steps):
        reached += step.reached(values)
        known = number < len(attempt.bounds)
        bounds += attempt.bounds[number] if known else [low for low, _ in step.ranges]
    constant = attempt.demands.always_missed
    made = Schedule(
        today=chain.task.today,
        windows=tuple(windows),
        copied=tuple(stretch_of(made, values) for made in attempt.demands.copied),
        totals=totals(chain.windows, reached, constant),
        bound=totals(ruled_out + 1, bounds, constant),
    )
    is_proven = made.totals == made.bound
    return Scheduled(Status.PROVEN if is_proven else Status.UNPROVEN, made, clock.spent, ruled_out)


def totals(windows: int, sums: Sequence[int], constant: int) -> Totals:
    """The figures of the steps, in their order."""
    used, touches, reduced, facts, downs, changes = sums[:6]
    return Totals(windows, used, touches, reduced + constant, facts, downs, changes)


def stretch_of(made: Sequence[int], values: Sequence[int]) -> int:
    """The stretch in which a copy is made."""
    return next(stretch for stretch, variable in enumerate(made) if values[variable])


def layout_at(chain: Chain, values: Sequence[int], stretch: int) -> Layout:
    """The layout of one stretch."""
    base, layer = chain.base[stretch], chain.layer
    chosen = {
        item: site
        for item, sites in layer.at.items()
        for site, variables in sites.items()
        if any(values[v + base] for v in variables)
    }
    arrangements = {
        group: way
        for group, ways in layer.ways.items()
        for way, variable in ways.items()
        if values[variable + base]
    }
    return Layout(chosen, arrangements, seats_at(layer, values, base))


def seats_at(layer: Layer, values: Sequence[int], base: int) -> tuple[Seat, ...]:
    """The seats chosen; of those that share a variable, the one that can be."""
    picked = [seat for v, same in enumerate(layer.seats) if values[v + base] for seat in same]
    keys: set[str] = set()
    for seat in sorted(picked, key=lambda seat: seat.offer.depth):
        if not seat.parents or not keys.isdisjoint(seat.parents):
            keys.add(seat.key)
    return tuple(seat for seat in layer.task.seating.seats if seat.key in keys)


def window_of(
    chain: Chain, values: Sequence[int], layouts: Sequence[Layout], number: int
) -> Window:
    """What is done in one window."""
    before, after = layouts[number - 1], layouts[number]
    items = sorted(chain.layer.at, key=natural)
    return Window(
        number,
        off=tuple(m for m, variable in chain.off[number - 1].items() if values[variable]),
        moves=tuple(
            Move(item, before.places.get(item), after.places.get(item))
            for item in items
            if before.places.get(item) != after.places.get(item)
        ),
        changes=tuple(
            Change(group, before.arrangements[group], way)
            for group, way in after.arrangements.items()
            if before.arrangements[group] != way
        ),
        after=after,
    )
