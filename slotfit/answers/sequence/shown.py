"""From an answer to its view."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.answers.place.cautions import CAUTIONS
from slotfit.answers.sequence.answer import (
    SCHEMA_VERSION,
    ApartView,
    CopyView,
    FigureView,
    HelpView,
    NoWayView,
    SequenceFactView,
    SequenceView,
)
from slotfit.answers.sequence.names import setting_name
from slotfit.answers.sequence.no_way import NoWay
from slotfit.answers.sequence.plan import Sequenced
from slotfit.answers.sequence.stretches import stretches_of
from slotfit.answers.sequence.windows import Way, places, stretch_view, way_of_schedule, window_view
from slotfit.listing import counted
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.model.windows import Schedule, Task


def headline(answer: Sequenced) -> str:
    """The answer in one sentence, without its full stop."""
    goal, made = answer.ready.goal, answer.scheduled
    if made is None:
        if goal and goal.status is Status.IMPOSSIBLE:
            return "There is no layout to end with: `slotfit place` on this file says why"
        return "Time ran out before a layout to end with was found"
    if made.schedule:
        return scheduled_headline(made.schedule, made.status, made.ruled_out)
    if made.status is Status.IMPOSSIBLE:
        return "No sequence of windows keeps everything that is asked for"
    known = f"; {windows_text(made.ruled_out)} are proven not to do" if made.ruled_out > 0 else ""
    return f"Time ran out before a sequence was found or ruled out{known}"


def scheduled_headline(made: Schedule, status: Status, ruled_out: int) -> str:
    """How many windows, and how far that is proven."""
    totals = made.totals
    if not totals.windows:
        return "Nothing has to move: today's layout is the goal already"
    text = f"{windows_text(totals.windows)}, {counted(totals.touches, 'part')} touched"
    if status is Status.PROVEN:
        return f"{text}; proven: fewer do not do"
    fewest = totals.windows == ruled_out + 1
    first = "fewer windows do not do; " if fewest else ""
    return f"{text}; the best found in time, {first}not proven best"


def windows_text(number: int) -> str:
    """`1 window`, `3 windows`."""
    return counted(number, "window")


def figures(made: Schedule) -> Iterator[FigureView]:
    """The figures in the order that counted."""
    for name, one, many in FIGURES:
        value, bound = getattr(made.totals, name), getattr(made.bound, name)
        says = (one if value == 1 else many).format(value)
        if bound < value:
            says += f" (not proven; no less than {bound})"
        yield FigureView(name, value, bound, says)


FIGURES = (
    ("windows", "1 window", "{} windows"),
    ("used", "a machine is off in 1 of them", "a machine is off in {} of them"),
    ("touches", "1 part is touched", "{} parts are touched, each counted once a window"),
    (
        "reduced",
        "1 stretch in which something is down, missing or slow",
        "{} stretches of a service, mirror or part that is down, missing or slow",
    ),
    ("facts", "1 unproven fact is rested on that neither end rests on",
     "{} unproven facts are rested on that neither end rests on"),
    ("downs", "1 machine is switched off", "machines are switched off {} times"),
    ("changes", "1 setting changes", "{} settings change"),
)  # fmt: skip
"""Figure -> its words for one and for several; the order is that of `Totals`."""


def view_of(answer: Sequenced) -> SequenceView:
    """Everything that is shown."""
    task = answer.ready.task
    made = answer.scheduled.schedule if answer.scheduled else None
    way = None
    if task and made:
        way = way_of_schedule(task, made, stretches_of(task, made.layouts, made.copied))
    windows = tuple(window_view(way, window) for window in made.windows) if way and made else ()
    problem = answer.ready.problem
    return SequenceView(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        invented=any(rig.board.invented for rig in problem.rigs),
        status=answer.status.value,
        headline=headline(answer),
        seconds=round(answer.scheduled.seconds, 3) if answer.scheduled else 0.0,
        machines=tuple((rig.id, rig.machine.name or rig.id) for rig in problem.rigs),
        retired=problem.retire,
        today=stretch_view(way, 0) if way else None,
        windows=windows,
        copies=tuple(copies(way)) if way else (),
        places=tuple(places(way)) if way else (),
        figures=tuple(figures(made)) if made else (),
        facts=tuple(facts(made)) if made else (),
        notes=tuple(notes(answer)),
        cautions=tuple(
            one.text for one in CAUTIONS if any(one.text in w.cautions for w in windows)
        ),
        no_way=no_way_view(answer.no_way, answer) if answer.no_way else None,
    )


def copies(way: Way) -> Iterator[CopyView]:
    """Each copy with the stretch in which it is made."""
    for copy, at in zip(way.task.copies, way.schedule.copied, strict=True):
        seats = way.schedule.layouts[at].seat_of
        roots = [seats[items[0]].offer.root for items in (copy.sources, copy.targets)]
        yield CopyView(copy.name, copy.sources, copy.targets, copy.network, at, *roots)


def facts(made: Schedule) -> Iterator[SequenceFactView]:
    """What the layouts rest on, and in which stretches."""
    for fact in made.facts:
        rests = tuple(n for n, layout in enumerate(made.layouts) if fact.id in layout.facts)
        where = str(fact.span) if fact.span else ""
        yield SequenceFactView(fact.label, fact.statement, fact.find_out, where, rests)


def notes(answer: Sequenced) -> Iterator[str]:
    """What was taken for granted."""
    task, goal = answer.ready.task, answer.ready.goal
    if task is None:
        return
    if goal and goal.status is Status.UNPROVEN:
        yield "the layout at the end is the best found in time; a better one may exist"
    yield from settings_taken(answer.ready.problem, task)
    yield from (
        f"{service.name} does not run today, so nothing is asked of it on the way"
        for service in task.services
        if service.new
    )
    yield from (
        f"{copy.name} goes over network ports of the boards; name cards with `through` if not"
        for copy in task.copies
        if copy.network and not copy.through
    )


def settings_taken(problem: Problem, task: Task) -> Iterator[str]:
    """Settings that today's layout needs and nobody wrote down."""
    said = problem.sequence.settings_today
    groups = dict.fromkeys(
        seat.offer.group for seat in task.today.seats if seat.arrangements and seat.offer.group
    )
    taken = [
        f"{group}: {setting_name(problem, group, task.today.arrangements[group])}"
        for group in groups
        if group not in said and len(ways(problem, group)) > 1
    ]
    if taken:
        yield (
            "today's settings are not in the file and are taken to be those under which most "
            f"works: {'; '.join(taken)} (write `settings_today` if they are others)"
        )


def ways(problem: Problem, group_name: str) -> Sequence[object]:
    """The arrangements of a lane group."""
    machine, _, group_id = group_name.partition("/")
    groups = problem.rig[machine].board.lane_groups
    return next(group.arrangements for group in groups if group.id == group_id)


def no_way_view(why: NoWay, answer: Sequenced) -> NoWayView:
    """Why not, and what would help."""
    made, task = answer.scheduled, answer.ready.task
    ruled_out = made.ruled_out if made and task else 0
    ever = task is not None and ruled_out > task.most_windows
    return NoWayView(
        ruled_out=None if ever else ruled_out,
        demands=why.demands,
        minimal=why.minimal,
        apart=tuple(
            ApartView(
                one.copy.name,
                one.machine,
                one.beside,
                tuple((sentence.text, sentence.rule) for sentence in one.sentences),
            )
            for one in why.apart
        ),
        helps=tuple(
            HelpView(
                do=tuple(one.text for one in helped.helps),
                write=tuple(one.write for one in helped.helps if one.write),
                windows=helped.scheduled.schedule.totals.windows,
                touches=helped.scheduled.schedule.totals.touches,
                reduced=helped.scheduled.schedule.totals.reduced,
                proven=helped.scheduled.status is Status.PROVEN,
            )
            for helped in why.helped
            if helped.scheduled.schedule
        ),
        tried=why.tried,
        complete=why.complete,
    )
