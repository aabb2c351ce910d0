"""The two ends of a sequence: where everything is today, and where it is to be."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from slotfit.answers.no_plan.case import canonical
from slotfit.answers.sequence.stretches import stretches_of
from slotfit.engine.seats import seat_all
from slotfit.errors import InputError, InternalError, Mistake
from slotfit.hardware.flow import short_by_link
from slotfit.model.build import BuildPart, Copy, Mirror, Service
from slotfit.model.clause import AtMost, Clause, ExactlyOne, arrangement
from slotfit.model.plan import Answer, Plan, Status
from slotfit.model.problem import Item, Problem
from slotfit.model.reason import stated
from slotfit.model.seat import Seat, Seating
from slotfit.model.windows import Choice, CopyJob, Layout, MirrorJob, ServiceJob, Task
from slotfit.rulebook import HARDWARE_PLAN_RULES, HARDWARE_SEAT_RULES
from slotfit.solve.clash import Stated, minimal_core
from slotfit.solve.engine import Clock
from slotfit.solve.frame import atoms_in
from slotfit.solve.place import place

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


TODAY = stated("the build file says so")


def bare(problem: Problem) -> Problem:
    """The problem without what is wished for its parts: a layout on the way only has to work."""
    return replace(problem, items=tuple(map(without_wishes, problem.items)), together=(), apart=())


def without_wishes(item: Item) -> Item:
    """What it moves, whose it is and which bracket it wears are no wishes."""
    wish = item.wish
    made = BuildPart.model_construct(
        id=wish.id,
        part=wish.part,
        required=False,
        demand=wish.demand,
        guest=wish.guest,
        bracket=wish.bracket,
    )
    if span := wish.span():
        made.marks[""] = span
    return item._replace(wish=made)


def hardware(problem: Problem) -> tuple[Seating, tuple[Clause, ...]]:
    """Every seat and clause by the rules of hardware alone."""
    seating = seat_all(problem, HARDWARE_SEAT_RULES)
    return seating, hardware_clauses(problem, seating)


def hardware_clauses(problem: Problem, seating: Seating) -> tuple[Clause, ...]:
    """What couples these seats by the rules of hardware alone."""
    return tuple(c for rule in HARDWARE_PLAN_RULES for c in rule.state(problem, seating))


def in_machines(problem: Problem) -> dict[str, str]:
    """Item -> site of what is in a machine today, on its board or on a part in it."""
    found: dict[str, str] = {}
    known = {item: site for item, site in problem.today.items() if site in problem.site}
    while True:
        more = {
            item: site
            for item, site in known.items()
            if item not in found and holds(problem, site, found)
        }
        if not more:
            return found
        found |= more


def holds(problem: Problem, site_id: str, seated: Iterable[str]) -> bool:
    """Whether the receptacle is on a board, or on a part that is among the seated ones."""
    site = problem.site[site_id]
    owner = site.owner if site.on_board else problem.item[site.owner].body
    return site.on_board or owner in seated


def layout_today(
    problem: Problem, seating: Seating, clauses: Sequence[Clause], clock: Clock
) -> Layout | None:
    """
    Today's layout, with the arrangements under which it does most where nobody said which.

    None if time ran out. Raises InputError if it cannot be: then the file is wrong.
    """
    said = list(todays_clauses(problem, seating))
    aims = replace(problem, preferences=("dark-endpoints", "bandwidth", "unproven-facts"))
    answer = place(aims, seating, [*clauses, *said], clock.left)
    if answer.status is Status.IMPOSSIBLE:
        raise InputError(todays_mistakes(problem, seating, clauses, said, clock))
    if answer.plan is None:
        return None
    known = {item: site for item, site in problem.today.items() if site in problem.site}
    places = known | {seat.item: seat.site for seat in answer.plan.seats}
    return Layout(places, answer.plan.arrangements, answer.plan.seats)


def todays_clauses(problem: Problem, seating: Seating) -> Iterable[Clause]:
    """What is in a machine sits where the file says, and nothing else is in a machine."""
    inside = in_machines(problem)
    for item in problem.items:
        seats = seating.by_item.get(item.id, [])
        if item.id in inside:
            here = tuple(seat.key for seat in seats if seat.site == inside[item.id])
            yield ExactlyOne(TODAY, here)
            gone = [seat for seat in seats if seat.site != inside[item.id]]
        elif item.companion_of in inside:  # nobody says where a further plug is: in one place
            yield AtMost(TODAY, tuple((seat.key, 1) for seat in seats), 1)
            gone = []
        else:
            gone = seats
        if gone:
            yield AtMost(TODAY, tuple((seat.key, 1) for seat in gone), 0)
    for group, way in problem.sequence.settings_today.items():
        yield ExactlyOne(TODAY, (arrangement(group, way),))


def todays_mistakes(
    problem: Problem,
    seating: Seating,
    clauses: Sequence[Clause],
    said: Sequence[Clause],
    clock: Clock,
) -> list[Mistake]:
    """Which rules today's layout breaks: it stands in a machine, so a description is wrong."""
    refused = list(refused_today(problem, seating))
    if refused:
        return refused
    soft: dict[str, list[Clause]] = {}
    for clause in clauses:
        soft.setdefault(f"{clause.reason.text} [{clause.reason.rule}]", []).append(clause)
    atoms = tuple(atoms_in(problem, seating))
    stated = Stated(atoms, tuple(said), {name: tuple(c) for name, c in soft.items()})
    core = minimal_core(stated, [], clock)
    reasons = core.names if core else ("the rules together",)
    where = next(iter(problem.today_spans.values()), "today")
    text = f"today's layout cannot be, by what is described here: {'; '.join(reasons)}"
    return [Mistake(where, "today", text)]


def refused_today(problem: Problem, seating: Seating) -> Iterable[Mistake]:
    """Each part that no rule lets sit where it is said to sit."""
    for item, site in in_machines(problem).items():
        if any(seat.site == site for seat in seating.by_item.get(item, [])):
            continue
        reasons = dict.fromkeys(
            f"{objection.text} [{objection.rule}]"
            for refusal in seating.refusals
            if (refusal.seat.item, refusal.seat.site) == (item, site)
            for objection in refusal.objections
        )
        text = f"{item} cannot sit in {site}, by what is described here: {'; '.join(reasons)}"
        yield Mistake(problem.today_spans.get(item, "today"), f"today.{item}", text)


def with_goal(problem: Problem) -> Problem:
    """The problem with the receptacles that the file names for the end as pins."""
    goal = problem.sequence.goal
    items = tuple(
        item._replace(wish=item.wish.model_copy(update={"pin": goal[item.id]}))
        if item.id in goal
        else item
        for item in problem.items
    )
    return replace(problem, items=items)


def layout_goal(seating: Seating, plan: Plan) -> Layout:
    """The plan as a layout, without the arrangements that none of its seats depends on."""
    places = {seat.item: seat.site for seat in plan.seats}
    seats = reseated(seating, places, plan.arrangements)
    used = {seat.offer.group for seat in seats if seat.arrangements}
    kept = {group: way for group, way in plan.arrangements.items() if group in used}
    return Layout(places, kept, seats)


def reseated(
    seating: Seating, places: dict[str, str], arrangements: dict[str, str]
) -> tuple[Seat, ...]:
    """The seats that parts have in these places under these arrangements."""
    chosen: dict[str, Seat] = {}
    for seat in sorted(seating.seats, key=lambda seat: seat.offer.depth):
        way = arrangements.get(seat.offer.group or "")
        fits = places.get(seat.item) == seat.site
        stands = not seat.parents or not chosen.keys().isdisjoint(seat.parents)
        if fits and stands and (not seat.arrangements or way in seat.arrangements):
            chosen[seat.key] = seat
    return tuple(chosen.values())


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
