"""The two ends of a sequence: where everything is today, and where it is to be."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from slotfit.answers.no_plan.case import canonical
from slotfit.answers.place.decided import reseated
from slotfit.answers.place.plan import best_plan
from slotfit.answers.sequence.stretches import Stretch, lost_mb_s
from slotfit.engine.seats import is_structure, seat_all
from slotfit.errors import InputError, InternalError, Mistake
from slotfit.listing import counted
from slotfit.model.build import BuildPart, Copy, Mirror, Service
from slotfit.model.clause import AtMost, Clause, ExactlyOne, arrangement
from slotfit.model.plan import Placed, Plan, Status
from slotfit.model.problem import Problem
from slotfit.model.reason import stated
from slotfit.model.seat import Seating
from slotfit.model.windows import CopyJob, Layout, MirrorJob, NeedMet, ServiceJob, Task
from slotfit.rule import Unheld
from slotfit.rulebook import HARDWARE_PLAN_RULES, HARDWARE_SEAT_RULES, against_unheld
from slotfit.solve.clash import Stated, minimal_core
from slotfit.solve.engine import Clock
from slotfit.solve.frame import atoms_in
from slotfit.solve.place import place

Places = Mapping[str, str]
"""Part id -> receptacle id."""


def jobs_of(
    problem: Problem, today: Places, goal: Places
) -> tuple[tuple[CopyJob, ...], tuple[ServiceJob, ...], tuple[MirrorJob, ...]]:
    """Everything that a build asks for, given where everything is at both ends."""
    asked = problem.sequence
    copies = tuple(copy_job(problem, copy, today, goal) for copy in asked.copies)
    copies = tuple(in_copy_order(copies, number) for number in range(len(copies)))
    services = [service_job(problem, one, copies, (today, goal)) for one in asked.services]
    mirrors = [mirror_job(problem, one, copies, (today, goal)) for one in asked.mirrors]
    return copies, tuple(services), tuple(mirrors)


def data_on(problem: Problem, part: str, layouts: Iterable[Places]) -> tuple[str, ...]:
    """
    The drives on a part in the first layout in which there are any; else the part itself.

    The data is where the drives are, whatever carries them.
    """
    for places in layouts:
        drives = [one for one in parts_on(problem, part, places) if is_drive(problem, one)]
        if drives:
            return tuple(drives)
    return (part,)


def is_drive(problem: Problem, part: str) -> bool:
    """Whether it holds data."""
    return problem.part[part].spec.part_class == "drive"


def parts_on(problem: Problem, part: str, places: Places) -> list[str]:
    """Everything that sits on a part, or on what sits on it, by way of any of its plugs."""
    found: list[str] = []
    bodies = {part}
    while bodies:
        bodies = {
            one for one, receptacle in places.items() if carrier_of(problem, receptacle) in bodies
        }
        bodies -= {part, *found}
        found += sorted(bodies)
    return found


def carrier_of(problem: Problem, receptacle_id: str) -> str | None:
    """The body of the part that a socket is on; None for a receptacle of a board."""
    receptacle = problem.receptacle.get(receptacle_id)
    if receptacle is None or receptacle.on_board:
        return None
    return problem.part[receptacle.owner].body


def copy_job(problem: Problem, copy: Copy, today: Places, goal: Places) -> CopyJob:
    """A copy takes what is there today to what is there at the goal."""
    sources = [one for part in copy.from_ for one in data_on(problem, part, (today, goal))]
    targets = [one for part in copy.to for one in data_on(problem, part, (goal, today))]
    return CopyJob(
        name=f"{' and '.join(copy.from_)} to {' and '.join(copy.to)}",
        sources=tuple(dict.fromkeys(sources)),
        targets=tuple(dict.fromkeys(targets)),
        network=copy.over == "network",
        through=copy.through,
    )


def in_copy_order(copies: tuple[CopyJob, ...], number: int) -> CopyJob:
    """
    A copy that takes from another one's targets comes after it.

    Where the two copy to and fro the first in the file is made first.
    """
    job = copies[number]
    return replace(
        job,
        after=tuple(
            other
            for other, its in enumerate(copies)
            if other != number
            and set(job.sources) & set(its.targets)
            and not (number < other and set(job.targets) & set(its.sources))
        ),
    )


def service_job(
    problem: Problem, service: Service, copies: tuple[CopyJob, ...], layouts: tuple[Places, Places]
) -> ServiceJob:
    """Each need with what may stand in for it."""
    needs = [data_on(problem, part, layouts) for part in service.needs]
    choices = dict.fromkeys(meets for parts in needs for meets in choices_for(parts, copies))
    return ServiceJob(service.id, tuple(choices), service.may_be_down, service.windows)


def choices_for(
    parts: tuple[str, ...], copies: tuple[CopyJob, ...], seen: frozenset[int] = frozenset()
) -> list[tuple[NeedMet, ...]]:
    """
    The needs that a need for some data comes to.

    Data that is copied somewhere may be used there once the copy is made; data that came from
    somewhere was there before.
    """
    came = [
        number
        for number, copy in enumerate(copies)
        if number not in seen and set(parts) <= set(copy.targets)
    ]
    if not came:
        return [(NeedMet(parts), *copied_from(parts, copies))]
    return [
        choices
        for number in came
        for choices in choices_for(copies[number].sources, copies, seen | {number})
    ]


def copied_from(
    parts: tuple[str, ...], copies: tuple[CopyJob, ...], seen: frozenset[int] = frozenset()
) -> Iterator[NeedMet]:
    """Every place that the data of these parts is copied to, and on from there."""
    for number, copy in enumerate(copies):
        if number not in seen and set(parts) <= set(copy.sources):
            yield NeedMet(copy.targets, number)
            yield from copied_from(copy.targets, copies, seen | {number})


def mirror_job(
    problem: Problem, mirror: Mirror, copies: tuple[CopyJob, ...], layouts: tuple[Places, Places]
) -> MirrorJob:
    """Members by the parts that hold their data; a copy of any member is a copy of all."""
    members = tuple(data_on(problem, part, layouts) for part in mirror.parts)
    copied = tuple(
        number
        for number, copy in enumerate(copies)
        if any(set(parts) <= set(copy.sources) for parts in members)
    )
    return MirrorJob(" and ".join(mirror.parts), members, mirror.keep, copied)


TODAY = stated("the build file says so")


def without_wishes(problem: Problem) -> Problem:
    """
    The problem without what is wished for its parts: a layout on the way only has to work.

    What a part moves, whose it is and which bracket it wears are no wishes.
    """
    parts = []
    for part in problem.parts:
        made = BuildPart.model_construct(
            required=False, **{name: getattr(part.wish, name) for name in KEPT}
        )
        if span := part.wish.span():
            made.marks[""] = span
        parts.append(replace(part, wish=made))
    return replace(problem, parts=tuple(parts), together=(), apart=())


KEPT = ("id", "part", "demand", "guest", "shared_by", "mode", "bracket", "ends", "modules_w")
"""What is said of a part that is no wish."""


def hardware(problem: Problem) -> tuple[Seating, tuple[Clause, ...]]:
    """Every seat and clause by the rules of hardware alone."""
    seating = seat_all(problem, HARDWARE_SEAT_RULES)
    return seating, hardware_clauses(problem, seating)


def hardware_clauses(problem: Problem, seating: Seating) -> tuple[Clause, ...]:
    """What couples these seats by the rules of hardware alone."""
    return tuple(c for rule in HARDWARE_PLAN_RULES for c in rule.clauses(problem, seating))


def in_machines(problem: Problem) -> dict[str, str]:
    """Part -> receptacle of what is in a machine today, on its board or on a part in it."""
    found: dict[str, str] = {}
    known = {part: one for part, one in problem.today.items() if one in problem.receptacle}
    while more := {
        part: receptacle
        for part, receptacle in known.items()
        if part not in found and ((on := carrier_of(problem, receptacle)) is None or on in found)
    }:
        found |= more
    return found


def layout_today(
    problem: Problem, seating: Seating, clauses: Sequence[Clause], clock: Clock
) -> Layout | None:
    """
    Today's layout, with the arrangements under which it does most where nobody said which.

    None if time ran out. Raises InputError if it cannot be: then the file is wrong.
    """
    said: list[Clause] = list(seated_clauses(problem, seating, in_machines(problem)))
    for group, way in problem.settings_today.items():
        said.append(ExactlyOne(TODAY, (arrangement(group, way),)))
    aims = replace(problem, preferences=("dark-endpoints", "bandwidth", "unproven-facts"))
    answer = place(aims, seating, [*clauses, *said], clock.left)
    if answer.status is Status.IMPOSSIBLE:
        raise InputError(todays_mistakes(problem, seating, clauses, said, clock))
    if answer.plan is None:
        return None
    known = {part: one for part, one in problem.today.items() if one in problem.receptacle}
    layout = layout_of(answer.plan)
    return replace(layout, places={**known, **layout.places})


def layout_of(plan: Plan) -> Layout:
    """Where a plan has everything."""
    places = {seat.part: seat.receptacle for seat in plan.seats}
    return Layout(places, plan.arrangements, plan.seats)


def seated_clauses(
    problem: Problem, seating: Seating, here: Places, anywhere: Collection[str] = ()
) -> Iterator[Clause]:
    """Parts sit where `here` says, those of `anywhere` in some place, and no others anywhere."""
    for part in problem.parts:
        seats = seating.by_part.get(part.id, [])
        receptacle = here.get(part.id)
        gone = [seat for seat in seats if seat.receptacle != receptacle]
        if receptacle is not None:
            yield ExactlyOne(
                TODAY, tuple(seat.key for seat in seats if seat.receptacle == receptacle)
            )
        elif part.body in anywhere:
            yield ExactlyOne(TODAY, tuple(seat.key for seat in seats))
            gone = []
        elif part.companion_of in here:  # nobody says where a further plug is: in one place
            yield AtMost(TODAY, tuple((seat.key, 1) for seat in seats), 1)
            gone = []
        if gone:
            yield AtMost(TODAY, tuple((seat.key, 1) for seat in gone), 0)


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
    by_reason = {reason: tuple(found) for reason, found in soft.items()}
    asked = Stated(tuple(atoms_in(problem, seating)), tuple(said), by_reason)
    core = minimal_core(asked, [], clock)
    return [broken_today(problem, seating, core.names if core else (), by_reason)]


def broken_today(
    problem: Problem,
    seating: Seating,
    reasons: Sequence[str],
    by_reason: Mapping[str, Sequence[Clause]],
) -> Mistake:
    """The rule that today's layout breaks, before what only says how lanes and seats hang on it."""
    kinds = (
        lambda clause: not is_structure(seating, clause),
        lambda clause: not isinstance(clause, ExactlyOne),
        lambda _: True,
    )
    told = ([one for one in reasons if any(map(kind, by_reason[one]))] for kind in kinds)
    rules = next(filter(None, told), [])
    if not rules:
        where = next(iter(problem.today_spans.values()), "today")
        return Mistake(where, "today", "the rules together forbid today's layout")
    named = [name for clause in by_reason[rules[0]] for _, name in clause.reason.names]
    part = next((name for name in named if name in problem.today_spans), None)
    where = problem.today_spans[part] if part else next(iter(problem.today_spans.values()), "today")
    others = len(rules) - 1
    more = f" (together with {counted(others, 'other rule')})" if others else ""
    text = f"{rules[0]}; today's layout breaks this{more}: it, or a description, is wrong"
    return Mistake(where, f"today.{part}" if part else "today", text)


def refused_today(problem: Problem, seating: Seating) -> Iterable[Mistake]:
    """Each part that no rule lets sit where it is said to sit."""
    for part, receptacle in in_machines(problem).items():
        if any(seat.receptacle == receptacle for seat in seating.by_part.get(part, [])):
            continue
        refusals = [
            refusal
            for refusal in seating.refusals
            if (refusal.seat.part, refusal.seat.receptacle) == (part, receptacle)
        ]
        unheld = Unheld(problem, problem.part[part], problem.receptacle[receptacle])
        nearest = min((one.objections for one in refusals), key=len, default=())
        nearest = nearest or tuple(against_unheld(unheld))
        if not nearest:  # what it sits on is refused, and that is told
            continue
        more = f" (and {len(nearest) - 1} more)" if len(nearest) > 1 else ""
        text = f"{nearest[0].text} [{nearest[0].rule}]{more}; so {part} cannot be in {receptacle}"
        yield Mistake(problem.today_spans.get(part, "today"), f"today.{part}", text)


def with_goal(problem: Problem) -> Problem:
    """The problem with the receptacles that the file names for the end as pins."""
    pins = problem.sequence.goal
    parts = tuple(
        replace(part, wish=part.wish.model_copy(update={"pin": pins[part.id]}))
        if part.id in pins
        else part
        for part in problem.parts
    )
    return replace(problem, parts=parts)


def layout_goal(seating: Seating, plan: Plan) -> Layout:
    """The plan as a layout, without the arrangements that none of its seats depends on."""
    places = {seat.part: seat.receptacle for seat in plan.seats}
    seats = reseated(seating, places, plan.arrangements)
    layout = Layout(places, plan.arrangements, seats)
    return replace(layout, arrangements=layout.needed)


@dataclass(frozen=True, slots=True)
class Ends:
    """A task, or how far its making came."""

    problem: Problem
    """As written, its parts in natural order."""
    goal: Placed | None
    """What `place` answers; None if time ran out before it was asked."""
    task: Task | None


def ends_of(problem: Problem, clock: Clock, goal: Placed | None = None) -> Ends:
    """
    Find both ends and everything asked for between them; `goal`: the best plan, if it is known.

    Raises InputError if the file contradicts itself.
    """
    problem = canonical(problem)
    plain = without_wishes(problem)
    seating, clauses = hardware(plain)
    today = layout_today(plain, seating, clauses, clock)
    if today is None:
        return Ends(problem, None, None)
    answer = goal or best_plan(with_goal(problem), clock.left)
    if answer.status in (Status.UNPROVEN, Status.UNKNOWN):
        clock.stopped = True  # at its end, or at Ctrl-C: nothing more is wanted
    if answer.plan is None:
        return Ends(problem, answer, None)
    end = layout_goal(seating, answer.plan)
    if len(end.seats) != len(end.places):
        raise InternalError("a part of the plan has no seat on the way")
    task = task_of(plain, seating, clauses, today, end)
    if mistakes := [*job_mistakes(task)]:
        raise InputError(mistakes)
    return Ends(problem, answer, task)


def task_of(
    problem: Problem,
    seating: Seating,
    clauses: tuple[Clause, ...],
    today: Layout,
    goal: Layout,
) -> Task:
    """What a build asks for on the way from one layout to another."""
    copies, services, mirrors = jobs_of(problem, today.places, goal.places)
    task = Task(
        problem=problem,
        seating=seating,
        clauses=clauses,
        today=today,
        goal=goal,
        copies=copies,
        mirrors=mirrors,
        arrivals=arrivals(problem, today),
        at_once=problem.sequence.at_once,
        most_windows=problem.sequence.most_windows,
        usual_loss_mb_s=max(lost_mb_s(problem, layout) for layout in (today, goal)),
    )
    begin = Stretch(task, today, frozenset(), frozenset())
    services = tuple(replace(one, new=not begin.homes(one)) for one in services)
    return replace(task, services=services)


def arrivals(problem: Problem, today: Layout) -> dict[str, int]:
    """Arrivals of machines and parts: further plugs come with a part, and so does what is on it."""
    comes = dict(problem.sequence.arrivals)
    for name, window in problem.sequence.arrivals.items():
        for rider in parts_on(problem, name, today.places) if name in problem.part else ():
            comes[rider] = max(window, comes.get(rider, 0))
    for part in problem.parts:
        if part.companion_of in comes:
            comes[part.id] = comes[part.companion_of]
    return comes


def job_mistakes(task: Task) -> Iterator[Mistake]:
    """What is asked for and cannot be meant, now that both ends are known."""
    asked, seated = task.problem.sequence, task.today.seat_of
    for job, copy in zip(task.copies, asked.copies, strict=True):
        if both := sorted(set(job.sources) & set(job.targets)):
            text = f"{', '.join(both)} would be copied to itself: it is on both at the end"
            yield Mistake(copy.span() or "sequence", f"copies, {job.name}", text)
    for mirror, written in zip(task.mirrors, asked.mirrors, strict=True):
        runs = sum(all(part in seated for part in parts) for parts in mirror.members)
        if runs < mirror.keep:
            text = (
                f"{runs} of its members in a machine today, and {mirror.keep} to keep; a mirror "
                "that is yet to be made needs no keeping"
            )
            yield Mistake(written.span() or "sequence", f"mirrors, {mirror.name}", text)
