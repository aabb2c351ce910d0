"""From one layout to another, one power-down after the other: what is asked, and what is found."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from slotfit.listing import natural
from slotfit.model.board import Arrangement
from slotfit.model.clause import Clause
from slotfit.model.keys import GroupKey
from slotfit.model.plan import Plan, Status
from slotfit.model.problem import Problem
from slotfit.model.reason import Doubt
from slotfit.model.seat import Seat, Seating, rests_on


@dataclass(frozen=True)
class Layout:
    """Where every part is between two windows."""

    places: Mapping[str, str]
    """Part id -> receptacle id. What sits on a part that lies beside the machine counts as well."""
    arrangements: Mapping[GroupKey, str]
    """Lane group -> arrangement id."""
    seats: tuple[Seat, ...] = ()
    """Of the parts that are in a machine."""

    @cached_property
    def seat_of(self) -> Mapping[str, Seat]:
        """Part id -> its seat."""
        return {seat.part: seat for seat in self.seats}

    @cached_property
    def facts(self) -> Mapping[tuple[str, ...], Doubt]:
        """What it rests on, by id."""
        return rests_on(self.seats)

    def machine(self, part: str) -> str | None:
        """Where a part runs; None beside the machines."""
        seat = self.seat_of.get(part)
        return seat.upstream.machine if seat else None

    @property
    def needed(self) -> dict[GroupKey, str]:
        """The arrangements that some seat depends on."""
        groups = {seat.upstream.group for seat in self.seats if seat.arrangements}
        return {group: way for group, way in self.arrangements.items() if group in groups}

    def plan(self, problem: Problem) -> Plan:
        """The layout as a plan."""
        out = tuple(part.id for part in problem.parts if part.id not in self.seat_of)
        return Plan(self.seats, dict(self.arrangements), out, (), tuple(self.facts.values()))


@dataclass(frozen=True, slots=True)
class CopyJob:
    """Data to be copied while both ends run."""

    name: str
    """`scans-old to scans`."""
    sources: tuple[str, ...]
    """Parts that hold the data: drives, or parts on which nothing sits."""
    targets: tuple[str, ...]
    """Parts that are to hold it."""
    network: bool = False
    """From machine to machine; else within one."""
    through: tuple[str, ...] = ()
    """Network cards of which either machine needs one; none named: ports of the boards."""
    after: tuple[int, ...] = ()
    """Numbers of the copies that must be made before, since this one copies from their targets."""


@dataclass(frozen=True, slots=True)
class NeedMet:
    """Parts that together meet a need, once a copy is made if one is named."""

    items: tuple[str, ...]
    copy: int | None = None


@dataclass(frozen=True, slots=True)
class ServiceJob:
    """A service that runs where, for each need, one of the choices runs, all in one machine."""

    name: str
    needs: tuple[tuple[NeedMet, ...], ...]
    may_be_down: int = 0
    windows: tuple[int, ...] | None = None
    new: bool = False
    """It does not run today: nothing is asked of it, and the sooner it runs the better."""


@dataclass(frozen=True, slots=True)
class MirrorJob:
    """Members that hold the same data."""

    name: str
    members: tuple[tuple[str, ...], ...]
    """Each with the parts that hold its data."""
    keep: int
    released_by: tuple[int, ...] = ()
    """Copies of its data: after any of them the mirror is needed no longer."""


@dataclass(frozen=True)
class Task:
    """What is asked."""

    problem: Problem
    seating: Seating
    """By the rules of hardware alone: wishes are for the goal."""
    clauses: tuple[Clause, ...]
    today: Layout
    goal: Layout
    """Without arrangements that nothing at the goal depends on."""
    copies: tuple[CopyJob, ...] = ()
    services: tuple[ServiceJob, ...] = ()
    mirrors: tuple[MirrorJob, ...] = ()
    arrivals: Mapping[str, int] = field(default_factory=dict)
    """Machine or part -> the first window in which it is there."""
    at_once: int = 1
    most_windows: int = 8
    usual_loss_mb_s: int = 0
    """What shared links lose today or at the goal, whichever is more, in and out together."""

    @cached_property
    def retired(self) -> frozenset[str]:
        """Machines taken out of service: parts without a place at the goal may stay in them."""
        return frozenset(self.problem.machine).intersection(self.problem.retire)

    @cached_property
    def idle(self) -> frozenset[str]:
        """Parts that may be out for a moment: nothing needs them, and nothing sits on them."""
        busy = {
            one for job in self.services for need in job.needs for way in need for one in way.items
        }
        busy |= {one for job in self.mirrors for parts in job.members for one in parts}
        for copy in self.copies:
            ends = {*copy.sources, *copy.targets}
            busy |= ends if ends & busy else set()
        alone = (part.id for part in self.problem.parts if not part.spec.receptacles)
        return frozenset(alone) - busy

    @cached_property
    def steady(self) -> tuple[str, ...]:
        """Parts with links that run today and at the goal: they are missed when out or slow."""
        ends = [part for part in self.today.seat_of if part in self.goal.seat_of]
        return tuple(part for part in ends if self.problem.part[part].spec.links)


@dataclass(frozen=True, slots=True)
class Move:
    """One part pulled, put in, or both."""

    item: str
    before: str | None
    """Receptacle id; None: it was in no receptacle of this build."""
    after: str | None


@dataclass(frozen=True, slots=True)
class SettingChange:
    """One lane group arranged otherwise."""

    where: GroupKey
    before: Arrangement
    after: Arrangement


def moves_between(before: Layout, after: Layout) -> tuple[Move, ...]:
    """Every part that is elsewhere afterwards, in natural order."""
    parts = sorted({*before.places, *after.places}, key=natural)
    moves = (Move(part, before.places.get(part), after.places.get(part)) for part in parts)
    return tuple(move for move in moves if move.before != move.after)


def changes_between(problem: Problem, before: Layout, after: Layout) -> Iterator[SettingChange]:
    """Every lane group that is arranged otherwise afterwards."""
    for group, way in after.arrangements.items():
        if before.arrangements[group] != way:
            old = problem.arrangement(group, before.arrangements)
            yield SettingChange(group, old, problem.arrangement(group, after.arrangements))


@dataclass(frozen=True, slots=True)
class Window:
    """One power-down, and the layout after it."""

    number: int
    off: tuple[str, ...]
    """Machines that are switched off; none: what is done is done while they run."""
    moves: tuple[Move, ...]
    changes: tuple[SettingChange, ...]
    after: Layout


@dataclass(frozen=True, slots=True)
class Totals:
    """Minimized, in this order."""

    windows: int
    """Number of the last window."""
    used: int
    """Windows in which a machine is off."""
    touches: int
    """Parts touched, each once a window."""
    reduced: int
    """Stretches between windows in which a service is down, a mirror lacks a member, a part that
    stays is out or gets less than today and at the goal, or shared links lose more; each counts."""
    facts: int
    """Unproven facts rested on that neither today's layout nor the goal rests on."""
    downs: int
    """Machines switched off, each once a window."""
    changes: int
    """Settings changed."""


@dataclass(frozen=True)
class Schedule:
    """Windows in order."""

    today: Layout
    windows: tuple[Window, ...]
    copied: tuple[int, ...]
    """For each copy the stretch in which it is made: 0 before window 1, then after that window."""
    totals: Totals
    bound: Totals
    """What is proven: no sequence has less, the earlier figures being equal."""

    @cached_property
    def layouts(self) -> tuple[Layout, ...]:
        """Today's layout and the one after each window."""
        return (self.today, *(window.after for window in self.windows))

    @cached_property
    def facts(self) -> tuple[Doubt, ...]:
        """What the layouts rest on, each fact once."""
        found = {name: fact for layout in self.layouts for name, fact in layout.facts.items()}
        return tuple(found.values())


@dataclass(frozen=True, slots=True)
class Scheduled:
    """A schedule, or the word that there is none."""

    schedule: Schedule | None
    seconds: float
    ruled_out: int = -1
    """So many windows, and fewer, are proven not to do; -1: nothing is known. Where no number of
    windows does it is far beyond the most that are allowed."""
    none_does: bool = False
    """None of the windows that are allowed do; without it and a schedule time ran out."""

    @property
    def status(self) -> Status:
        """How far the schedule is proven."""
        if self.schedule:
            proven = self.schedule.totals == self.schedule.bound
            return Status.PROVEN if proven else Status.UNPROVEN
        return Status.IMPOSSIBLE if self.none_does else Status.UNKNOWN
