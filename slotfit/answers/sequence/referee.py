"""
The referee of sequences: looks at a finished schedule afresh and says what is wrong with it.

Every layout is a plan that the referee of plans judges; every window is compared with the layouts
around it; every demand and every figure is worked out anew.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.answers.sequence.stretches import Stretch, homes_of_mirror, stretches_of
from slotfit.engine import referee
from slotfit.hardware.live import takes_live
from slotfit.model.windows import Layout, Schedule, Task, Totals, Window
from slotfit.rulebook import HARDWARE_SEAT_RULES


def faults(task: Task, schedule: Schedule) -> Iterator[str]:
    """Everything wrong, in words; nothing if the schedule stands."""
    stretches = stretches_of(task, schedule.layouts, schedule.copied)
    for number, stretch in enumerate(stretches):
        for fault in layout_faults(task, stretch.layout):
            yield f"after window {number}: {fault}"
    yield from end_faults(task, schedule)
    for window, before in zip(schedule.windows, schedule.layouts, strict=False):
        for fault in window_faults(task, window, before):
            yield f"window {window.number}: {fault}"
    yield from copy_faults(task, schedule, stretches)
    yield from service_faults(task, schedule, stretches)
    for mirror in task.mirrors:
        if homes_of_mirror(mirror, stretches) is None:
            yield f"{mirror.name} is parted from its data"
    if (truth := totals(task, schedule, stretches)) != schedule.totals:
        yield f"the figures are {truth}, not {schedule.totals}"


def layout_faults(task: Task, layout: Layout) -> Iterator[str]:
    """The layout as a plan, and whether seats and places say the same."""
    plan = layout.plan(task.problem)
    yield from referee.faults(task.problem, plan, task.clauses, HARDWARE_SEAT_RULES)
    receptacles = list(layout.places.values())
    yield from (
        f"two parts in {one}"
        for one in sorted({s for s in receptacles if receptacles.count(s) > 1})
    )
    for part, receptacle_id in layout.places.items():
        receptacle = task.problem.receptacle[receptacle_id]
        runs = receptacle.on_board or receptacle.owner in layout.seat_of
        seat = layout.seat_of.get(part)
        if runs != (seat is not None) or (seat and seat.receptacle != receptacle_id):
            yield f"{part} is in {receptacle_id} and has the seat {seat.key if seat else 'none'}"
    yield from (f"{part} is nowhere" for part in layout.seat_of if part not in layout.places)


def end_faults(task: Task, schedule: Schedule) -> Iterator[str]:
    """The sequence begins as things are today and ends at the goal."""
    if schedule.today != task.today:
        yield "it begins with another layout than today's"
    last = schedule.layouts[-1]
    for part, receptacle in task.goal.places.items():
        if last.places.get(part) != receptacle:
            yield f"{part} ends in {last.places.get(part)}, not in {receptacle}"
    for part, seat in last.seat_of.items():
        if part not in task.goal.places and seat.upstream.machine not in task.retired:
            yield f"{part} ends in {seat.receptacle}, and has no place at the goal"
    for group, way in task.goal.arrangements.items():
        if last.arrangements[group] != way:
            yield f"{group} ends as {last.arrangements[group]}, not as {way}"


def window_faults(task: Task, window: Window, before: Layout) -> Iterator[str]:
    """Moves and settings are told in full, and only machines that are off are touched."""
    yield from move_faults(task, window, before)
    yield from setting_faults(window, before)
    if len(window.off) > task.at_once:
        yield f"{len(window.off)} machines are off at once"
    yield from arrival_faults(task, window)


def move_faults(task: Task, window: Window, before: Layout) -> Iterator[str]:
    """
    Every part that is elsewhere afterwards is told, once, and its machines are off.

    But for one that comes and goes while they run; not to and fro if something needs it.
    """
    after = window.after
    told = {move.item: (move.before, move.after) for move in window.moves}
    happened = {
        part: (before.places.get(part), after.places.get(part))
        for part in (*before.places, *after.places)
        if before.places.get(part) != after.places.get(part)
    }
    if told != happened or len(told) != len(window.moves):
        yield "its moves are not what changes"
    for part in happened:
        seats = [seat for layout in (before, after) if (seat := layout.seat_of.get(part))]
        may = len(seats) == 1 or part in task.idle
        running = {
            seat.upstream.machine for seat in seats if not (may and takes_live(task.problem, seat))
        } - set(window.off)
        yield from (f"{part} is touched while {machine} runs" for machine in running)


def setting_faults(window: Window, before: Layout) -> Iterator[str]:
    """Every lane group that is arranged otherwise is told, and its machine is off."""
    told = [(one.where, one.before.id, one.after.id) for one in window.changes]
    happened = []
    for group, way in window.after.arrangements.items():
        if before.arrangements[group] != way:
            happened.append((group, before.arrangements[group], way))
            if group.machine not in window.off:
                yield f"{group} is set otherwise while its machine runs"
    if sorted(told) != sorted(happened):
        yield "its settings are not what changes"


def arrival_faults(task: Task, window: Window) -> Iterator[str]:
    """Nothing is used before it is there."""
    for name, comes in task.arrivals.items():
        if window.number < comes:
            used = [s.key for s in window.after.seats if name in (s.part, s.upstream.machine)]
            touched = [move.item for move in window.moves if move.item == name]
            yield from (f"{one} before {name} has arrived" for one in (*used, *touched))


def copy_faults(task: Task, schedule: Schedule, stretches: Sequence[Stretch]) -> Iterator[str]:
    """Each copy is made where it can be, and after those it builds on."""
    for copy, made in zip(task.copies, schedule.copied, strict=True):
        if not stretches[made].can_copy(copy):
            yield f"{copy.name} cannot be copied after window {made}"
        yield from (
            f"{copy.name} is copied before {task.copies[before].name}"
            for before in copy.after
            if schedule.copied[before] > made
        )


def service_faults(task: Task, schedule: Schedule, stretches: Sequence[Stretch]) -> Iterator[str]:
    """Services are down no longer than they may be, and cut off only where that was agreed."""
    for service in [one for one in task.services if not one.new]:
        down = sum(not stretch.homes(service) for stretch in stretches[1:-1])
        if down > service.may_be_down:
            yield f"{service.name} is down in {down} stretches"
        for window, before in zip(schedule.windows, stretches, strict=False):
            homes = before.homes(service)
            agreed = service.windows is None or window.number in service.windows
            if homes and not agreed and set(homes) <= set(window.off):
                yield f"{service.name} is cut off in window {window.number}"


def totals(task: Task, schedule: Schedule, stretches: Sequence[Stretch]) -> Totals:
    """The figures, by plain counting."""
    between = stretches[1:-1]
    bodies = {part.id: part.body for part in task.problem.parts}
    ends = {name for layout in (task.today, task.goal) for name in layout.facts}
    met = {name for stretch in between for name in stretch.layout.facts}
    return Totals(
        windows=len(schedule.windows),
        used=sum(bool(window.off) for window in schedule.windows),
        touches=sum(len({bodies[move.item] for move in w.moves}) for w in schedule.windows),
        reduced=sum(missed(stretch) for stretch in between) + mirrors_lacking(task, stretches),
        facts=len(met - ends),
        downs=sum(len(window.off) for window in schedule.windows),
        changes=sum(len(window.changes) for window in schedule.windows),
    )


def missed(stretch: Stretch) -> int:
    """Services down, parts missed and shared links short in one stretch."""
    task = stretch.task
    down = sum(not stretch.homes(service) for service in task.services)
    lost = stretch.lost_mb_s > task.usual_loss_mb_s
    return down + len(list(stretch.missed_parts())) + lost


def mirrors_lacking(task: Task, stretches: Sequence[Stretch]) -> int:
    """Stretches in which a mirror lacks a member."""
    found = 0
    for mirror in task.mirrors:
        homes = homes_of_mirror(mirror, stretches) or []
        found += sum(
            len(stretch.members_in(mirror, home)) < len(mirror.members)
            for stretch, home in zip(stretches[1:-1], homes[1:-1], strict=False)
            if not stretch.is_released(mirror)
        )
    return found
