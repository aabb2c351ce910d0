"""Why no sequence keeps everything asked for, and the smallest help with which one does."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from slotfit.explain.canonical import canonical
from slotfit.explain.clash import clash_of
from slotfit.explain.reasons import TooManySeatsError, case_of
from slotfit.explain.told import Clash, Sentence
from slotfit.model.part import Part
from slotfit.model.problem import Problem
from slotfit.model.windows import CopyJob, Scheduled, Task
from slotfit.sequence.demands import Demand, demands_of
from slotfit.sequence.helps import Help, helps
from slotfit.solve.clock import Clock
from slotfit.solve.engine import Result
from slotfit.solve.windows import possible, schedule

Progress = Callable[[str, int, int], None]

ENOUGH = 6
"""So many helps that work are worked out."""

ALIKE = 2
"""So many of one kind."""


@dataclass(frozen=True)
class Apart:
    """Why two ends of a copy never run in one machine."""

    copy: CopyJob
    machine: str
    beside: tuple[str, ...]
    """Items that services need in the machine meanwhile."""
    sentences: tuple[Sentence, ...]


@dataclass(frozen=True)
class Helped:
    """Helps that together make it possible, and the best sequence then."""

    helps: tuple[Help, ...]
    scheduled: Scheduled


@dataclass(frozen=True)
class NoWay:
    """What is known of a rebuild that cannot be done as asked."""

    demands: tuple[str, ...]
    """Demands that clash: without any one of them there is a way."""
    minimal: bool
    """That was seen for each of them."""
    apart: tuple[Apart, ...]
    helped: tuple[Helped, ...]
    tried: int
    """Single helps that were tried."""
    complete: bool
    """All were; no smaller help does."""


def no_way(task: Task, catalogued: Sequence[Part], clock: Clock, progress: Progress) -> NoWay:
    """Explain; out of time it is what is known by then."""
    progress("what stands in the way", 0, 3)
    clash, minimal = clashing(task, clock)
    apart = tuple(ends_apart(task, clash, clock))
    progress("what would help", 1, 3)
    every = list(helps(task, catalogued))
    helped, complete = helping(task, every, clock, progress)
    return NoWay(
        tuple(demand.text for demand in clash), minimal, apart, helped, len(every), complete
    )


def clashing(task: Task, clock: Clock) -> tuple[list[Demand], bool]:
    """Demands none of which can be kept out, and whether that was seen for each."""
    kept = demands_of(task)
    minimal = True
    for demand in list(kept):
        rest = [one for one in kept if one is not demand]
        result = possible(with_only(task, rest), clock)
        if result is Result.INFEASIBLE:
            kept = rest
        minimal = minimal and result is not Result.UNKNOWN
    return kept, minimal


def with_only(task: Task, kept: Sequence[Demand]) -> Task:
    """The task with no demands but these."""
    for demand in demands_of(task):
        if all(demand.text != one.text for one in kept):
            task = demand.lift(task)
    return task


def ends_apart(task: Task, clash: Sequence[Demand], clock: Clock) -> Iterator[Apart]:
    """
    For each copy that clashes, each machine in which its ends have no room.

    By themselves, or beside what the services that clash as well need there today.
    """
    services = [task.services[one.service] for one in clash if one.service is not None]
    needed = {item for one in services for need in one.needs for item in need[0].items}
    for demand in clash:
        if demand.copy is None or task.copies[demand.copy].network:
            continue
        copy = task.copies[demand.copy]
        for machine in homes_of(task, copy):
            beside = {
                item
                for item in needed
                if item in task.today.seat_of and task.today.seat_of[item].offer.machine == machine
            }
            for others in (set[str](), beside):
                asked = all_in(task.problem, {*copy.sources, *copy.targets, *others}, machine)
                found = clash_in(asked, clock)
                if found:
                    yield Apart(copy, machine, tuple(sorted(others)), found.sentences)
                    break


def clash_in(problem: Problem, clock: Clock) -> Clash | None:
    """What clashes; None if nothing does, time ran out, or the problem is too large for it."""
    try:
        return clash_of(case_of(problem), clock)[0]
    except TooManySeatsError:
        return None


def homes_of(task: Task, copy: CopyJob) -> list[str]:
    """Machines that the copy has to do with: where its source is today, its target at the goal."""
    ends = [task.today.seat_of.get(item) for item in copy.sources]
    ends += [task.goal.seat_of.get(item) for item in copy.targets]
    return list(dict.fromkeys(seat.offer.machine for seat in ends if seat))


def all_in(problem: Problem, wanted: set[str], machine: str) -> Problem:
    """The question whether these items can run in one machine, whatever else leaves it."""
    items = tuple(
        item._replace(wish=item.wish.model_copy(update={"required": item.id in wanted}))
        for item in problem.items
    )
    sites = tuple(site for site in problem.sites if not site.on_board or site.owner == machine)
    rigs = (problem.rig[machine],)
    return canonical(replace(problem, rigs=rigs, items=items, sites=sites, retire=(), today={}))


def helping(
    task: Task, every: Sequence[Help], clock: Clock, progress: Progress
) -> tuple[tuple[Helped, ...], bool]:
    """The single helps that work, or else pairs that do, each with its sequence."""
    helped: list[Helped] = []
    complete = True
    for size in (1, 2):
        sets = list(combinations(every, size))
        for number, chosen in enumerate(sets):
            progress(" and ".join(one.kind for one in chosen), number, len(sets))
            result = Result.UNKNOWN
            if not_enough(helped, chosen):
                result = possible(helped_task(task, chosen), clock)
                complete = complete and result is not Result.UNKNOWN
            if result is Result.OPTIMAL:
                found = schedule(helped_task(task, chosen), clock, silent)
                helped += [Helped(chosen, found)] if found.schedule else []
        if helped or not clock.left:
            break
    return tuple(helped), complete


def helped_task(task: Task, chosen: Sequence[Help]) -> Task:
    """The task with some helps."""
    for one in chosen:
        task = one.apply(task)
    return task


def not_enough(helped: Sequence[Helped], chosen: Sequence[Help]) -> bool:
    """Whether another example of these kinds tells something new."""
    kinds = [one.kind for one in chosen]
    alike = [known.helps for known in helped if [one.kind for one in known.helps] == kinds]
    subjects = [one.subject or one.text for one in chosen]
    told = any([one.subject for one in known] == subjects for known in alike)
    return not told and len(alike) < ALIKE and len(helped) < ENOUGH


def silent(stage: str, number: int, stages: int) -> None:
    """No progress shown."""
