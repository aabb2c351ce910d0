"""A build made ready for planning windows."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from slotfit.errors import InputError, InternalError, Mistake
from slotfit.explain.canonical import canonical
from slotfit.hardware.flow import short_by_link
from slotfit.model.plan import Answer, Plan
from slotfit.model.problem import Problem
from slotfit.model.status import Status
from slotfit.model.windows import Layout, MirrorJob, Task
from slotfit.sequence.jobs import Jobs, below, jobs_of
from slotfit.sequence.layouts import bare, hardware, layout_goal, layout_today, with_goal
from slotfit.sequence.stretches import stretches_of
from slotfit.solve.clock import Clock

Place = Callable[[Problem, float], Answer]
"""The best plan of a problem within so many seconds."""


@dataclass(frozen=True)
class Ready:
    """A task, or how far its making came."""

    problem: Problem
    """As written, its parts in natural order."""
    goal: Answer | None
    """What `place` answers; None if time ran out before it was asked."""
    task: Task | None


def made_ready(problem: Problem, place: Place, clock: Clock) -> Ready:
    """
    Find both ends and everything asked for between them.

    Raises InputError if the file contradicts itself.
    """
    problem = canonical(problem)
    plain = bare(problem)
    seating, clauses = hardware(plain)
    today = layout_today(plain, seating, clauses, clock)
    if today is None:
        return Ready(problem, None, None)
    answer = place(with_goal(problem), clock.left)
    if answer.status in (Status.UNPROVEN, Status.UNKNOWN):
        clock.stopped = True  # at its end, or at Ctrl-C: nothing more is wanted
    if answer.plan is None:
        return Ready(problem, answer, None)
    goal = layout_goal(seating, answer.plan)
    if len(goal.seats) != len(goal.places):
        raise InternalError("a part of the plan has no seat on the way")
    jobs = jobs_of(problem, today.places, goal.places)
    if mistakes := [*job_mistakes(problem, jobs, today)]:
        raise InputError(mistakes)
    asked = problem.sequence
    task = Task(
        problem=plain,
        seating=seating,
        clauses=clauses,
        today=today,
        goal=goal,
        copies=jobs.copies,
        services=jobs.services,
        mirrors=jobs.mirrors,
        arrivals=arrivals(problem, today),
        at_once=asked.at_once,
        most_windows=asked.most_windows,
        usual_loss_mb_s=max(lost_mb_s(plain, layout.plan(plain)) for layout in (today, goal)),
    )
    return Ready(problem, answer, with_new_services(task))


def with_new_services(task: Task) -> Task:
    """Services that do not run today are marked as new."""
    begin = stretches_of(task, (task.today,), (1,) * len(task.copies))[0]  # nothing is copied yet
    services = tuple(replace(one, new=not begin.homes(one)) for one in task.services)
    return replace(task, services=services)


def lost_mb_s(problem: Problem, plan: Plan) -> int:
    """What does not get through shared links, in MB/s, in and out together."""
    short = short_by_link(problem, plan.seats)
    return sum(missing for name, missing in short.items() if name not in problem.item)


def arrivals(problem: Problem, today: Layout) -> dict[str, int]:
    """Arrivals of machines and items: further plugs come with a part, and so does what is on it."""
    comes = dict(problem.sequence.arrivals)
    for name, window in problem.sequence.arrivals.items():
        for rider in below(problem, name, today.places) if name in problem.item else ():
            comes[rider] = max(window, comes.get(rider, 0))
    for item in problem.items:
        if item.companion_of in comes:
            comes[item.id] = comes[item.companion_of]
    return comes


def job_mistakes(problem: Problem, jobs: Jobs, today: Layout) -> Iterator[Mistake]:
    """What is asked for and cannot be meant, now that both ends are known."""
    asked = problem.sequence
    for job, copy in zip(jobs.copies, asked.copies, strict=True):
        if both := sorted(set(job.sources) & set(job.targets)):
            text = f"{', '.join(both)} would be copied to itself: it is on both at the end"
            yield Mistake(copy.span() or "sequence", f"copies, {job.name}", text)
    for mirror, written in zip(jobs.mirrors, asked.mirrors, strict=True):
        if (runs := running(mirror, today)) < mirror.keep:
            text = (
                f"{runs} of its members in a machine today, and {mirror.keep} to keep; a mirror "
                "that is yet to be made needs no keeping"
            )
            yield Mistake(written.span() or "sequence", f"mirrors, {mirror.name}", text)


def running(mirror: MirrorJob, layout: Layout) -> int:
    """Members that run in a layout."""
    return sum(all(item in layout.seat_of for item in items) for items in mirror.members)
