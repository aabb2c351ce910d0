"""What might make a rebuild possible, one help at a time: things lent, and demands softened."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from slotfit.model.part import Part
from slotfit.model.windows import ServiceJob, Task
from slotfit.sequence.demands import Lift, with_at_once, with_copy, without_arrival
from slotfit.sequence.spares import (
    SPARE,
    carriers_in,
    kinds_of_receptacle,
    lend_part,
    lend_receptacle,
    smallest_of_each_kind,
)
from slotfit.standards.forms import plug_fits

MORE_WINDOWS = 4
"""So many windows more are tried."""


@dataclass(frozen=True)
class Help:
    """One thing that is lent or softened."""

    kind: str
    """longer | network | window | carrier | receptacle | arrival"""
    text: str
    """What to do, as an order."""
    write: str
    """What to change in the build file; empty where it is nothing to write."""
    apply: Lift
    subject: str = ""
    """What it is about; of several helps about one thing the first that works is enough."""


def helps(task: Task, catalogued: Sequence[Part]) -> Iterator[Help]:
    """
    Every single help, the cheapest first.

    `catalogued`: carriers that could be borrowed; those of the build count by themselves.
    """
    yield from longer(task)
    yield from by_network(task)
    yield from more_at_once(task)
    yield from more_windows(task)
    yield from earlier(task)
    yield from lent_carriers(task, catalogued)
    yield from lent_receptacles(task)


def longer(task: Task) -> Iterator[Help]:
    """One service down for longer, or cut off in any window."""
    for number, service in enumerate(task.services):
        if service.new:
            continue
        for more in range(1, task.most_windows):
            down = service.may_be_down + more
            made = replace(service, may_be_down=down)
            yield Help(
                "longer",
                f"let {service.name} be down from one window to the next, {down} time"
                f"{'' if down == 1 else 's'} in all",
                f"services: {{id: {service.name}, may_be_down: {down}}}",
                partial(with_service, number=number, service=made),
                service.name,
            )
            if more == 2:
                break
        if service.windows is not None:
            yield Help(
                "longer",
                f"let {service.name} be cut off in any window",
                f"services: {{id: {service.name}}} without `windows`",
                partial(with_service, number=number, service=replace(service, windows=None)),
            )


def with_service(task: Task, number: int, service: ServiceJob) -> Task:
    """The task with another service in the place of one."""
    before, after = task.services[:number], task.services[number + 1 :]
    return replace(task, services=(*before, service, *after))


def by_network(task: Task) -> Iterator[Help]:
    """A copy from machine to machine."""
    for number, copy in enumerate(task.copies):
        if not copy.network:
            yield Help(
                "network",
                f"copy {copy.name} over the network",
                "copies: {over: network}",
                partial(with_copy, number=number, copy=replace(copy, network=True)),
            )


def more_at_once(task: Task) -> Iterator[Help]:
    """One machine more off in the same window."""
    if task.at_once < len(task.problem.rigs):
        more = task.at_once + 1
        text = f"switch {more} machines off in one window"
        yield Help("window", text, f"at_once: {more}", partial(with_at_once, machines=more))


def more_windows(task: Task) -> Iterator[Help]:
    """Windows beyond the most that are allowed."""
    most = task.most_windows + MORE_WINDOWS
    text = f"allow up to {most} windows"
    yield Help("window", text, f"most_windows: {most}", partial(replace, most_windows=most))


def earlier(task: Task) -> Iterator[Help]:
    """Something that is there from the first window on."""
    for name, window in task.problem.sequence.arrivals.items():
        if window > 1:
            text = f"have {name} there before the first window"
            lift = partial(without_arrival, name=name)
            yield Help("arrival", text, f"arrivals: without {name}", lift)


def lent_carriers(task: Task, catalogued: Sequence[Part]) -> Iterator[Help]:
    """A carrier more, for as long as it takes; of the build's own kinds first."""
    own = list(carriers_in(task.problem))
    useful = [part for part in catalogued if any(takes_drives(task, part))]
    for part in (*own, *smallest_of_each_kind(useful, own)):
        name = part.name or part.id
        yield Help(
            "carrier",
            f"borrow one carrier for the way: {name} ({part.id})",
            f"parts: {{id: {SPARE}, part: {part.id}}}; retire: [{SPARE}]",
            partial(lend_part, part=part),
        )


def takes_drives(task: Task, part: Part) -> Iterator[bool]:
    """For each drive that holds data to be copied, whether the part has a socket for it."""
    for copy in task.copies:
        for item in (*copy.sources, *copy.targets):
            plug = task.problem.item[item].part.plug.form
            yield any(plug_fits(plug, one.form) for one in part.receptacles)


def lent_receptacles(task: Task) -> Iterator[Help]:
    """A receptacle more, of each kind that a board has."""
    for site in kinds_of_receptacle(task.problem):
        label = site.receptacle.label or site.receptacle.id
        text = f"have one receptacle more in {site.owner} for the way, like {label} ({site.id})"
        yield Help("receptacle", text, "", partial(lend_receptacle, like=site))
