"""What the build file asks for on the way, told of the items that hold the data."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from slotfit.model.problem import Problem
from slotfit.model.sequence import Copy, Mirror, Service
from slotfit.model.windows import Choice, CopyJob, MirrorJob, ServiceJob

Places = Mapping[str, str]
"""Item id -> site id."""


@dataclass(frozen=True)
class Jobs:
    """Everything asked for."""

    copies: tuple[CopyJob, ...]
    services: tuple[ServiceJob, ...]
    mirrors: tuple[MirrorJob, ...]


def jobs_of(problem: Problem, today: Places, goal: Places) -> Jobs:
    """The jobs of a build, given where everything is at both ends."""
    asked = problem.sequence
    copies = tuple(copy_job(problem, copy, today, goal) for copy in asked.copies)
    copies = tuple(in_turn(copies, number) for number in range(len(copies)))
    return Jobs(
        copies,
        tuple(service_job(problem, one, copies, (today, goal)) for one in asked.services),
        tuple(mirror_job(problem, one, copies, (today, goal)) for one in asked.mirrors),
    )


def data_on(problem: Problem, item: str, layouts: Iterable[Places]) -> tuple[str, ...]:
    """
    The drives on an item in the first layout in which there are any; else the item itself.

    The data is where the drives are, whatever carries them.
    """
    for places in layouts:
        drives = [one for one in below(problem, item, places) if is_drive(problem, one)]
        if drives:
            return tuple(drives)
    return (item,)


def is_drive(problem: Problem, item: str) -> bool:
    """Whether it holds data."""
    return problem.item[item].part.part_class == "drive"


def below(problem: Problem, item: str, places: Places) -> list[str]:
    """Everything that sits on an item, or on what sits on it, by way of any of its plugs."""
    found: list[str] = []
    bodies = {item}
    while bodies:
        bodies = {one for one, site in places.items() if bearer(problem, site) in bodies}
        bodies -= {item, *found}
        found += sorted(bodies)
    return found


def bearer(problem: Problem, site_id: str) -> str | None:
    """The body of the part that a socket is on; None for a receptacle of a board."""
    site = problem.site.get(site_id)
    if site is None or site.on_board:
        return None
    return problem.item[site.owner].body


def all_data(problem: Problem, items: Iterable[str], layouts: Iterable[Places]) -> tuple[str, ...]:
    """The same for several items, each drive once."""
    ends = tuple(layouts)
    found = (one for item in items for one in data_on(problem, item, ends))
    return tuple(dict.fromkeys(found))


def copy_job(problem: Problem, copy: Copy, today: Places, goal: Places) -> CopyJob:
    """A copy takes what is there today to what is there at the goal."""
    return CopyJob(
        name=f"{' and '.join(copy.from_)} to {' and '.join(copy.to)}",
        sources=all_data(problem, copy.from_, (today, goal)),
        targets=all_data(problem, copy.to, (goal, today)),
        network=copy.over == "network",
        through=copy.through,
    )


def in_turn(copies: tuple[CopyJob, ...], number: int) -> CopyJob:
    """A copy that takes from another one's targets comes after it."""
    job = copies[number]
    before = tuple(
        other
        for other, its in enumerate(copies)
        if other != number
        and set(job.sources) & set(its.targets)
        and not leads(copies, number, other)
    )
    return CopyJob(job.name, job.sources, job.targets, job.network, job.through, before)


def leads(copies: tuple[CopyJob, ...], number: int, other: int) -> bool:
    """Whether the two copy to and fro, and `number` is the first of them in the file."""
    to_and_fro = set(copies[number].targets) & set(copies[other].sources)
    return bool(to_and_fro) and number < other


def service_job(
    problem: Problem, service: Service, copies: tuple[CopyJob, ...], layouts: tuple[Places, Places]
) -> ServiceJob:
    """Each need with what may stand in for it."""
    needs = [data_on(problem, item, layouts) for item in service.needs]
    choices = [meets for items in needs for meets in choices_for(items, copies)]
    return ServiceJob(
        service.id, tuple(dict.fromkeys(choices)), service.may_be_down, service.windows
    )


def choices_for(
    items: tuple[str, ...], copies: tuple[CopyJob, ...], seen: frozenset[int] = frozenset()
) -> list[tuple[Choice, ...]]:
    """
    The needs that a need for some data comes to.

    Data that is copied somewhere may be used there once the copy is made; data that came from
    somewhere was there before.
    """
    came = [
        number
        for number, copy in enumerate(copies)
        if number not in seen and set(items) <= set(copy.targets)
    ]
    if not came:
        return [(Choice(items), *copied_from(items, copies))]
    return [
        choices
        for number in came
        for choices in choices_for(copies[number].sources, copies, seen | {number})
    ]


def copied_from(
    items: tuple[str, ...], copies: tuple[CopyJob, ...], seen: frozenset[int] = frozenset()
) -> list[Choice]:
    """Every place that the data of these items is copied to, and on from there."""
    found: list[Choice] = []
    for number, copy in enumerate(copies):
        if number not in seen and set(items) <= set(copy.sources):
            found.append(Choice(copy.targets, number))
            found += copied_from(copy.targets, copies, seen | {number})
    return found


def mirror_job(
    problem: Problem, mirror: Mirror, copies: tuple[CopyJob, ...], layouts: tuple[Places, Places]
) -> MirrorJob:
    """Members by the items that hold their data; a copy of any member is a copy of all."""
    members = tuple(data_on(problem, item, layouts) for item in mirror.parts)
    return MirrorJob(
        name=" and ".join(mirror.parts),
        members=members,
        keep=mirror.keep,
        released_by=tuple(
            number
            for number, copy in enumerate(copies)
            if any(set(items) <= set(copy.sources) for items in members)
        ),
    )
