"""A full machine and a part that must go in: which part to pull, and what that means."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from slotfit.answers.no_plan.case import canonical
from slotfit.answers.sequence.stretches import Stretch
from slotfit.answers.sequence.task import (
    TODAY,
    bare,
    below,
    hardware,
    hardware_clauses,
    in_machines,
    jobs_of,
    layout_today,
)
from slotfit.engine.seats import seat_all
from slotfit.errors import InputError, Mistake
from slotfit.listing import natural
from slotfit.model.clause import AtMost, Clause, ExactlyOne
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.model.windows import Layout, MirrorJob, Task
from slotfit.model.words import Stage
from slotfit.rulebook import SEAT_RULES
from slotfit.solve.engine import Clock
from slotfit.solve.place import place, silent

AIMS: tuple[Stage, ...] = ("dark-endpoints", "bandwidth", "unproven-facts", "moves")


@dataclass
class Bench:
    """The question that is asked again and again: whether it all fits like this."""

    task: Task
    part: str
    along: tuple[str, ...]
    clock: Clock

    def fits(self, fixed: Iterable[str], free: Iterable[str]) -> Layout | None:
        """A layout with these items where they are today, those anywhere, and no others."""
        problem, seating = self.task.problem, self.task.seating
        said = list(self.clauses(set(fixed), {*free, self.part, *self.along}))
        answer = place(problem, seating, [*self.task.clauses, *said], self.clock.left)
        if answer.plan is None:
            return None
        plan = answer.plan
        places = {seat.item: seat.site for seat in plan.seats}
        return Layout(places, plan.arrangements, plan.seats)

    def clauses(self, fixed: set[str], free: set[str]) -> Iterator[Clause]:
        """Where each item has to be."""
        seats = self.task.seating.by_item
        for item in self.task.problem.items:
            its = seats.get(item.id, [])
            body = item.body
            if body in free or (item.companion_of and body in fixed):
                yield ExactlyOne(TODAY, tuple(seat.key for seat in its))
                continue
            here = self.task.today.places.get(item.id) if item.id in fixed else None
            if here is not None:
                yield ExactlyOne(TODAY, tuple(seat.key for seat in its if seat.site == here))
            gone = tuple((seat.key, 1) for seat in its if seat.site != here)
            if gone:
                yield AtMost(TODAY, gone, 0)


def bench_for(problem: Problem, part: str, along: tuple[str, ...], clock: Clock) -> Bench | None:
    """Today's layout with everything that is asked of services, mirrors and copies."""
    plain = bare(replace(problem, retire=()))
    today = layout_today(plain, *hardware(plain), clock)
    if today is None:
        return None
    wished = {part, *along}
    items = tuple(problem.item[one.id] if one.id in wished else one for one in plain.items)
    asked = replace(plain, items=items, preferences=AIMS)
    seating = seat_all(asked, SEAT_RULES)  # only what goes in has wishes left
    jobs = jobs_of(problem, today.places, today.places)
    task = Task(
        problem=asked,
        seating=seating,
        clauses=hardware_clauses(asked, seating),
        today=today,
        goal=today,
        copies=jobs.copies,
        services=jobs.services,
        mirrors=jobs.mirrors,
    )
    return Bench(task, part, along, clock)


Progress = Callable[[str, int, int], None]


@dataclass(frozen=True)
class Pull:
    """Some parts pulled, with what sits on them."""

    items: tuple[str, ...]
    riders: tuple[str, ...]
    """What comes out with them."""
    layout: Layout | None
    """With the part in their place; None if it still has no room."""
    stops: tuple[str, ...]
    """Services that no longer run while they are out."""
    bared: tuple[str, ...]
    """Mirrors that have fewer members than they must keep."""
    weakened: tuple[str, ...]
    """Mirrors that lack a member and have enough."""
    uncopied: tuple[str, ...]
    """Copies yet to be made of data that comes out."""
    elsewhere: Layout | None
    """With the part in, and all that came out in other places; None if there are none."""
    stops_then: tuple[str, ...]
    """Services that do not run even so."""
    bared_then: tuple[str, ...]
    """Mirrors that have too few members even so."""


@dataclass(frozen=True)
class PullFirst:
    """The answer."""

    problem: Problem
    seating: Seating
    part: str
    along: tuple[str, ...]
    """What goes in on the part."""
    today: Layout
    now: Layout | None
    """The part is in and nothing was pulled."""
    short_mb_s: int
    """MB/s of what the part moves that do not get through its link then."""
    moved: Layout | None
    """The part is in, everything else too, but not all where it is today."""
    pulls: tuple[Pull, ...]
    """
    Those that make room, best first, then the others. Where nothing has to be pulled, only those
    with which the part gets more of what it moves, or rests on fewer facts.
    """
    complete: bool
    """Nothing was left out for want of time."""


def ranked(problem: Problem, part: str, clock: Clock, progress: Progress) -> PullFirst | None:
    """
    Rank what to pull for a part; None if time ran out before today's layout was understood.

    Raises InputError if the part is unknown, or in a machine already.
    """
    problem = canonical(problem)
    check_part(problem, part)
    along = tuple(goes_along(problem, part))
    bench = bench_for(problem, part, along, clock)
    if bench is None:
        return None
    inside = list(in_machines(problem))
    now = bench.fits(inside, ())
    pulls: list[Pull] = []
    moved: Layout | None = None
    task = bench.task
    if now is None:
        moved = bench.fits((), inside)
        pulls = [*every_pull(bench, inside, progress)]
    elif any(fares := fare(task, part, now)):
        pulls = [
            one
            for one in every_pull(bench, inside, progress)
            if one.layout and fare(task, part, one.layout) < fares
        ]
    ranked = sorted(pulls, key=lambda pull: rank(task, part, pull))
    return PullFirst(
        task.problem,
        task.seating,
        part,
        along,
        task.today,
        now,
        fare(task, part, now)[0] if now else 0,
        moved,
        tuple(ranked),
        bool(clock.left),
    )


def check_part(problem: Problem, part: str) -> None:
    """The part is one of the build, and lies beside the machines."""
    if part not in problem.item:
        known = ", ".join(item.id for item in problem.items if item.id not in problem.today)
        text = f"there is no part {part}; not in a machine today: {known or 'none'}"
        raise InputError([Mistake("--pull-first", "", text)])
    if part in in_machines(problem):
        text = f"{part} is in {problem.today[part]} already; name a part that is to go in"
        raise InputError([Mistake("--pull-first", "", text)])


def goes_along(problem: Problem, part: str) -> Iterator[str]:
    """Parts that lie on it today, or that are to go nowhere but on it."""
    inside = in_machines(problem)
    on_it = {site.id for site in problem.sites if site.owner == part}
    lying = set(below(problem, part, problem.today))
    for item in problem.items:
        wished = {item.wish.pin} if item.wish.pin else set(item.wish.only)
        goes = item.id in lying or (wished and wished <= on_it)
        if goes and item.id not in inside and item.companion_of is None:
            yield item.id


def every_pull(bench: Bench, inside: Sequence[str], progress: Progress) -> Iterator[Pull]:
    """Each part by itself; pairs of board parts where no single one makes room."""
    task = bench.task
    singles = [
        (item,)
        for item in sorted(inside, key=natural)
        if task.problem.item[item].companion_of is None
    ]
    found = list(tried(bench, inside, singles, progress))
    yield from found
    if not any(pull.layout for pull in found):
        on_boards = [
            one for (one,) in singles if task.problem.site[task.today.places[one]].on_board
        ]
        pairs = list(combinations(on_boards, 2))
        yield from (pull for pull in tried(bench, inside, pairs, progress) if pull.layout)


def tried(
    bench: Bench, inside: Sequence[str], sets: Sequence[tuple[str, ...]], progress: Progress
) -> Iterator[Pull]:
    """Pull each set in turn, as far as time goes."""
    for number, items in enumerate(sets):
        progress(f"without {' and '.join(items)}", number, len(sets))
        if not bench.clock.left:
            return
        yield pull(bench, inside, items)


def pull(bench: Bench, inside: Sequence[str], items: tuple[str, ...]) -> Pull:
    """What it means to pull these."""
    task = bench.task
    riders = [rider for item in items for rider in below(task.problem, item, task.today.places)]
    riders = [one for one in dict.fromkeys(riders) if task.problem.item[one].companion_of is None]
    out = {*items, *riders}
    rest = [item for item in inside if item not in out]
    layout = bench.fits(rest, ())
    elsewhere = bench.fits(rest, out) if layout else None
    if elsewhere and all(elsewhere.places[one] == task.today.places[one] for one in items):
        elsewhere = None  # they are back, and the part is where it goes without any pull
    state = stretch(task, layout or without(task.today, out))
    runs = [one for one in task.services if stretch(task, task.today).homes(one)]
    later = stretch(task, elsewhere) if elsewhere else state
    members = {mirror: most_members(state, mirror) for mirror in task.mirrors}
    return Pull(
        items=items,
        riders=tuple(one for one in riders if one not in items),
        layout=layout,
        stops=tuple(one.name for one in runs if not state.homes(one)),
        bared=tuple(one.name for one, has in members.items() if has < one.keep),
        weakened=tuple(
            one.name for one, has in members.items() if one.keep <= has < len(one.members)
        ),
        uncopied=tuple(copy.name for copy in task.copies if not out.isdisjoint(copy.sources)),
        elsewhere=elsewhere,
        stops_then=tuple(one.name for one in runs if not later.homes(one)),
        bared_then=tuple(one.name for one in members if most_members(later, one) < one.keep),
    )


def most_members(state: Stretch, mirror: MirrorJob) -> int:
    """Members of a mirror that run together."""
    return max(len(state.members_in(mirror, rig.id)) for rig in state.task.problem.rigs)


def stretch(task: Task, layout: Layout) -> Stretch:
    """A layout with no copy made."""
    return Stretch(task, layout, frozenset(), frozenset())


def without(layout: Layout, out: set[str]) -> Layout:
    """The layout when some parts are out."""
    seats = tuple(seat for seat in layout.seats if seat.item not in out)
    places = {item: site for item, site in layout.places.items() if item not in out}
    return Layout(places, layout.arrangements, seats)


def rank(task: Task, part: str, pull: Pull) -> tuple[object, ...]:
    """
    The best first.

    It makes room, no mirror is bared, fewest services stop for good, and no data is out of reach
    of a copy that waits. Then: what came out can live elsewhere, fewest services stop meanwhile,
    fewest parts come out, and the part gets most of what it needs.
    """
    if pull.layout is None:
        return (True, [natural(item) for item in pull.items])
    return (
        False,
        len(pull.bared_then),
        len(pull.stops_then),
        len(pull.uncopied) if pull.elsewhere is None else 0,
        pull.elsewhere is None,
        len(pull.stops),
        len(pull.weakened),
        len(pull.items) + len(pull.riders),
        fare(task, part, pull.layout),
        [natural(item) for item in pull.items],
    )


def fare(task: Task, part: str, layout: Layout) -> tuple[int, int]:
    """How the part fares: MB/s that do not get through its link, facts that its seat rests on."""
    seat = layout.seat_of[part]
    return stretch(task, layout).short(seat), len(seat.facts)


def pull_first(
    problem: Problem, part: str, seconds: float = 60.0, progress: Progress | None = None
) -> PullFirst | None:
    """
    What to pull so that a part can go in, best first; None if time ran out before that.

    Raises InputError if the part is unknown, or in a machine already.
    """
    return ranked(problem, part, Clock(seconds), progress or silent)
