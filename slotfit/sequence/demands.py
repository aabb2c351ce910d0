"""
Single demands of a task, each as a sentence, and the task without it.

Numbers of copies are used elsewhere in a task, so that a copy that is given up stays in the list:
with nothing to copy it is made at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

from slotfit.model.windows import CopyJob, MirrorJob, Task
from slotfit.natural_order import natural

Lift = Callable[[Task], Task]


@dataclass(frozen=True)
class Demand:
    """One thing asked for."""

    text: str
    """A clause that fits after "because"."""
    lift: Lift
    """The task without it."""
    copy: int | None = None
    """It is this copy."""
    service: int | None = None
    """It is this service's."""


def demands_of(task: Task) -> list[Demand]:
    """Everything asked for that could be given up, most dispensable first."""
    return [
        *all_at_once(task),
        *arrival_demands(task),
        *service_demands(task),
        *mirror_demands(task),
        *copy_demands(task),
    ]


def all_at_once(task: Task) -> Iterator[Demand]:
    """How many machines may be off."""
    machines = len(task.problem.rigs)
    if task.at_once < machines:
        only = "one machine is" if task.at_once == 1 else f"{task.at_once} machines are"
        text = f"no more than {only} off in one window"
        yield Demand(text, partial(with_at_once, machines=machines))


def with_at_once(task: Task, machines: int) -> Task:
    """The task with so many machines that may be off in one window."""
    return replace(task, at_once=machines)


def arrival_demands(task: Task) -> Iterator[Demand]:
    """What comes later."""
    for name, window in sorted(task.arrivals.items(), key=lambda one: natural(one[0])):
        if window > 1:
            text = f"{name} is not there before window {window}"
            yield Demand(text, partial(without_arrival, name=name))


def without_arrival(task: Task, name: str) -> Task:
    """The task with something there from the first window on."""
    rest = {one: window for one, window in task.arrivals.items() if one != name}
    return replace(task, arrivals=rest)


def service_demands(task: Task) -> Iterator[Demand]:
    """Services that run today."""
    for number, service in enumerate(task.services):
        if service.new:
            continue
        down = service.may_be_down
        how_long = "no stretch" if not down else f"{down} stretch{'es' if down > 1 else ''} at most"
        text = f"{service.name} may be down in {how_long} between windows"
        if service.windows is not None:
            named = ", ".join(map(str, service.windows)) or "no window"
            text += f", and cut off in {named} only"
        yield Demand(text, partial(without_service, number=number), service=number)


def without_service(task: Task, number: int) -> Task:
    """The task with a service that may be down as long as need be."""
    free = replace(task.services[number], new=True)
    services = (*task.services[:number], free, *task.services[number + 1 :])
    return replace(task, services=services)


def mirror_demands(task: Task) -> Iterator[Demand]:
    """Mirrors."""
    for mirror in task.mirrors:
        text = f"{mirror.keep} of {mirror.name} stay{'s' if mirror.keep == 1 else ''} in service"
        yield Demand(text, partial(without_mirror, mirror=mirror))


def without_mirror(task: Task, mirror: MirrorJob) -> Task:
    """The task without the keeping of a mirror."""
    return replace(task, mirrors=tuple(one for one in task.mirrors if one != mirror))


def copy_demands(task: Task) -> Iterator[Demand]:
    """Copies."""
    for number, copy in enumerate(task.copies):
        where = "between machines that reach each other" if copy.network else "in one machine"
        text = f"{copy.name} is copied {where} with both in"
        yield Demand(text, partial(without_copy, number=number), copy=number)


def without_copy(task: Task, number: int) -> Task:
    """The task with a copy that can be made anywhere and at any time."""
    return with_copy(task, number, replace(task.copies[number], sources=(), targets=(), through=()))


def with_copy(task: Task, number: int, copy: CopyJob) -> Task:
    """The task with another copy in the place of one."""
    return replace(task, copies=(*task.copies[:number], copy, *task.copies[number + 1 :]))
