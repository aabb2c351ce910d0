"""From a build to the answer: both ends, the schedule, the referee, and why there is none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from slotfit.answers.no_plan.case import canonical
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.place.of_plan import unmounted
from slotfit.answers.sequence.answer import (
    SCHEMA_VERSION,
    Figure,
    NoWay,
    SequenceAnswer,
    SequenceDo,
    SequenceMore,
    SequencePlan,
    SequenceVerdict,
    SequenceWatch,
    verdict_with,
)
from slotfit.answers.sequence.names import unproven
from slotfit.answers.sequence.no_way import no_way
from slotfit.answers.sequence.referee import faults
from slotfit.answers.sequence.running import saved_by_looking
from slotfit.answers.sequence.task import Ends, ends_of, with_goal
from slotfit.answers.sequence.windows import do_and_risks, plan_of
from slotfit.errors import InternalError
from slotfit.listing import counted
from slotfit.model.board import Arrangement
from slotfit.model.keys import GroupKey
from slotfit.model.plan import Placed, Status
from slotfit.model.problem import Problem
from slotfit.model.windows import Layout, Schedule, Scheduled, Task
from slotfit.solve.engine import Clock
from slotfit.solve.place import Progress, silent
from slotfit.solve.windows import schedule


def sequence(
    problem: Problem,
    shop: Shop | None = None,
    seconds: float = 60.0,
    progress: Progress = silent,
    goal: Placed | None = None,
) -> SequenceAnswer:
    """
    The fewest windows from today's layout to the plan, checked by their own referee.

    `shop` has carriers that could be borrowed where there is no way; without it only the build's
    own kinds count. `goal`: what `best_plan` answered to `goal_of` the problem, if that was asked
    already. Raises InputError if the file contradicts itself, InternalError if solver and referee
    disagree.
    """
    clock = Clock(seconds)
    progress("today and the goal", 0, 1)
    ready = ends_of(problem, clock, goal)
    if ready.goal and unmounted(problem):
        ready = Ends(ready.problem, replace(ready.goal, status=Status.IMPOSSIBLE), None)
    if ready.task is None:
        return answer_of(ready, None, None)
    made = schedule(ready.task, clock, progress)
    if made.schedule and (wrong := list(faults(ready.task, made.schedule))):
        raise InternalError("solver and referee disagree: " + "; ".join(wrong))
    if made.status is not Status.IMPOSSIBLE:
        return answer_of(ready, made, None)
    try:
        why = no_way(ready.task, made, shop.parts("carrier") if shop else (), clock, progress)
    except KeyboardInterrupt:  # that there is no way is known; why is not
        why = None
    return answer_of(ready, made, why)


def goal_of(problem: Problem) -> Problem:
    """The problem whose plan a sequence leads to; the same one where none is asked for."""
    facts = {"settings_today"}  # says how things are, and asks for nothing
    asked = problem.sequence.model_dump(exclude_defaults=True, exclude=facts)
    if not (problem.retire or asked):
        return problem
    return with_goal(canonical(problem))


def answer_of(ready: Ends, scheduled: Scheduled | None, why: NoWay | None) -> SequenceAnswer:
    """Everything that is known; `scheduled`: None where no search for windows was begun."""
    problem, task = ready.problem, ready.task
    made = scheduled.schedule if scheduled else None
    plan = plan_of(task, made) if task and made else SequencePlan((), (), (), ())
    do, risks = do_and_risks(task, made, plan) if task and made else (SequenceDo((), ()), ())
    return SequenceAnswer(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        invented=any(machine.board.invented for machine in problem.machines),
        machines={machine.id: machine.entry.name or machine.id for machine in problem.machines},
        retired=problem.retire,
        seconds=round(scheduled.seconds, 3) if scheduled else 0.0,
        verdict=verdict_of(ready.goal, scheduled),
        plan=plan,
        do=do,
        watch=SequenceWatch(
            facts=tuple(unproven(fact, made.layouts) for fact in made.facts) if made else (),
            risks=risks,
            taken_for_granted=tuple(notes(ready, task, made)) if task else (),
        ),
        more=SequenceMore(tuple(figures(made)) if made else (), why),
    )


def verdict_of(goal: Placed | None, scheduled: Scheduled | None) -> SequenceVerdict:
    """How far the answer is proven; a goal that may not be the best takes nothing from it."""
    if scheduled is None and goal and goal.status is Status.IMPOSSIBLE:
        text = "there is no layout to end with, `slotfit place` on this file says why"
        return verdict_with(Status.IMPOSSIBLE, text)
    if scheduled is None:
        return verdict_with(Status.UNKNOWN, "no layout to end with was found")
    if scheduled.schedule:
        text = scheduled_headline(scheduled, scheduled.schedule)
    elif scheduled.status is Status.IMPOSSIBLE:
        text = "no sequence of windows keeps everything that is asked for"
    else:
        text = "a sequence was neither found nor ruled out"
        if scheduled.ruled_out > 0:
            text += f"; {counted(scheduled.ruled_out, 'window')} are proven not to do"
    made = scheduled.schedule
    return verdict_with(scheduled.status, text, len(made.facts) if made else 0)


def scheduled_headline(scheduled: Scheduled, made: Schedule) -> str:
    """How many windows, and how far that is proven."""
    totals = made.totals
    if not totals.windows:
        return "nothing has to move, today's layout is the goal already"
    touched = f"{counted(totals.touches, 'part')} touched"
    text = f"{counted(totals.windows, 'window')}, {touched}"
    if not totals.used:
        text = f"nothing has to be switched off, {touched}"
    if scheduled.status is Status.PROVEN:
        return f"{text}; {totals.windows} is the minimum (proven)"
    fewest = totals.windows == scheduled.ruled_out + 1
    first = "fewer windows are impossible; " if fewest else ""
    return f"{text}; the best found in time, {first}not proven best"


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


def figures(made: Schedule) -> Iterator[Figure]:
    """The figures in the order that counted."""
    for name, one, many in FIGURES:
        value, bound = getattr(made.totals, name), getattr(made.bound, name)
        says = (one if value == 1 else many).format(value)
        if bound < value:
            says += f" (not proven; no less than {bound})"
        yield Figure(name, value, bound, says)


def notes(ready: Ends, task: Task, made: Schedule | None) -> Iterator[str]:
    """What was taken for granted."""
    if ready.goal and ready.goal.status is Status.UNPROVEN:
        yield "the layout at the end is the best found in time; a better one may exist"
    layouts = made.layouts if made else (task.today, task.goal)
    if taken := settings_taken(task, layouts):
        said = {str(group): way.id for group, way in taken.items()}
        every = {**task.problem.sequence.settings_today, **said}
        line = ", ".join(f"{group}: {way}" for group, way in every.items())
        yield (
            "today's settings are not in the file and are taken to be those under which most "
            f"works; where they are so, write below `sequence`: settings_today: {{{line}}}"
        )
    for service in task.services:
        if service.new:
            yield f"{service.name} does not run today, so nothing is asked of it on the way"
    yield from saved_by_looking(task, made) if made else ()
    for copy in task.copies:
        if copy.network and not copy.through:
            yield (
                f"{copy.name} goes over network ports of the boards; name cards with `through` "
                "if not"
            )


def settings_taken(task: Task, layouts: Sequence[Layout]) -> dict[GroupKey, Arrangement]:
    """Settings of today that some layout needs and that nobody wrote down."""
    problem, today = task.problem, task.today
    groups = dict.fromkeys(group for layout in layouts for group in layout.needed)
    return {
        group: problem.arrangement(group, today.arrangements)
        for group in groups
        if group not in problem.settings_today and len(problem.lane_groups[group].arrangements) > 1
    }
