"""What is so in a stretch between two windows: services, copies, mirrors, parts that are missed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from slotfit.hardware.flow import capacity, demand_of, met, serving, short_by_link
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat
from slotfit.model.windows import CopyJob, Layout, MirrorJob, NeedMet, ServiceJob, Task


@dataclass(frozen=True, slots=True)
class Stretch:
    """One layout on the way, told apart by what came before."""

    task: Task
    layout: Layout
    copied: frozenset[int]
    """Copies that are made by its end."""
    copied_before: frozenset[int]
    """Copies that were made when it began."""

    def homes(self, service: ServiceJob) -> tuple[str, ...]:
        """The machines in which a service can run."""
        return tuple(
            machine.id
            for machine in self.task.problem.machines
            if all(any(self.met(one, machine.id) for one in need) for need in service.needs)
        )

    def met(self, choice: NeedMet, machine: str) -> bool:
        """Whether a need is met in this way in a machine."""
        made = choice.copy is None or choice.copy in self.copied
        return made and all(self.layout.machine(part) == machine for part in choice.items)

    def can_copy(self, copy: CopyJob) -> bool:
        """Whether both ends of a copy run where they reach one another."""
        ends = [{self.layout.machine(part) for part in end} for end in (copy.sources, copy.targets)]
        if any(len(end) > 1 or None in end for end in ends):
            return False
        if not copy.network:
            return ends[0] == ends[1]
        wired = {self.layout.machine(card) for card in copy.through}
        return not copy.through or all(end <= wired for end in ends)

    def is_released(self, mirror: MirrorJob) -> bool:
        """Whether the mirror's data was copied before."""
        return not self.copied_before.isdisjoint(mirror.released_by)

    def members_in(self, mirror: MirrorJob, machine: str) -> frozenset[int]:
        """Members of a mirror that run in a machine, by their numbers."""
        return frozenset(
            number
            for number, parts in enumerate(mirror.members)
            if all(self.layout.machine(part) == machine for part in parts)
        )

    @property
    def lost_mb_s(self) -> int:
        """What does not get through shared links, in MB/s, in and out together."""
        return lost_mb_s(self.task.problem, self.layout)

    def missed_parts(self) -> Iterator[tuple[str, str]]:
        """Parts that run at both ends, and are out or slow here: `out` or `slow`."""
        for part in self.task.steady:
            here = self.layout.seat_of.get(part)
            if here is None:
                yield part, "out"
            else:
                ends = (self.task.today.seat_of[part], self.task.goal.seat_of[part])
                if self.short(here) > max(map(self.short, ends)):
                    yield part, "slow"

    def short(self, seat: Seat) -> int:
        """MB/s of a part's demand that do not get through its own link."""
        problem = self.task.problem
        serves = seat.part in serving(problem)
        wanted = demand_of(problem.part[seat.part], seat, serves)
        return sum(wanted) - sum(met(wanted, capacity(seat)))


def lost_mb_s(problem: Problem, layout: Layout) -> int:
    """What does not get through shared links in a layout, in MB/s, in and out together."""
    short = short_by_link(problem, layout.seats)
    return sum(missing for link, missing in short.items() if link.shared)


def stretches_of(task: Task, layouts: Sequence[Layout], copied: Sequence[int]) -> list[Stretch]:
    """Every stretch: today, and after each window."""
    return [
        Stretch(
            task,
            layout,
            frozenset(copy for copy, made in enumerate(copied) if made <= number),
            frozenset(copy for copy, made in enumerate(copied) if made < number),
        )
        for number, layout in enumerate(layouts)
    ]


def homes_of_mirror(mirror: MirrorJob, stretches: Sequence[Stretch]) -> list[str] | None:
    """
    The machine of a mirror in every stretch, so that enough members stay in service.

    Where there are several ways it is the one that lacks members least often. None if there is
    no way: some window parts the mirror from its data.
    """
    machines = [machine.id for machine in stretches[0].task.problem.machines]
    ways: dict[str, tuple[int, list[str]]] = {machine: (0, [machine]) for machine in machines}
    for before, after in pairwise(stretches):
        found: dict[str, tuple[int, list[str]]] = {}
        counts = after is not stretches[-1] and not after.is_released(mirror)
        for here in machines:
            whole = len(after.members_in(mirror, here)) == len(mirror.members)
            lacking = int(counts and not whole)
            came = [
                (lacks + lacking, [*way, here])
                for there, (lacks, way) in ways.items()
                if stay_in_service(mirror, before, after, (there, here))
            ]
            if came:
                found[here] = min(came)
        ways = found
    return min(ways.values())[1] if ways else None


def stay_in_service(
    mirror: MirrorJob, before: Stretch, after: Stretch, homes: tuple[str, str]
) -> bool:
    """Whether enough members run in the mirror's machine before and after one window."""
    if not before.copied.isdisjoint(mirror.released_by):
        return True
    stay = before.members_in(mirror, homes[0]) & after.members_in(mirror, homes[1])
    return len(stay) >= mirror.keep
