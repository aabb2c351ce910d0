"""A full machine and a part that must go in: which parts to pull for it, and what that means."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from slotfit.answers.no_plan.case import canonical
from slotfit.answers.place.answer import UnprovenFact
from slotfit.answers.place.cautions import applying
from slotfit.answers.sequence.answer import (
    SCHEMA_VERSION,
    PartRoom,
    Pull,
    PullDo,
    PullFirstAnswer,
    PullMore,
    PullPlan,
    PullWatch,
    SequenceVerdict,
    SettingStep,
    verdict_with,
)
from slotfit.answers.sequence.names import link_name, place_name, setting_step, unproven
from slotfit.answers.sequence.referee import layout_faults
from slotfit.answers.sequence.stretches import Stretch
from slotfit.answers.sequence.task import (
    TODAY,
    hardware,
    hardware_clauses,
    in_machines,
    layout_of,
    layout_today,
    parts_on,
    seated_clauses,
    task_of,
    without_wishes,
)
from slotfit.engine.seats import seat_all
from slotfit.errors import InputError, InternalError, Mistake
from slotfit.hardware.live import takes_live
from slotfit.listing import natural
from slotfit.model.clause import AtMost, Clause
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.model.windows import CopyJob, Layout, Task, changes_between, moves_between
from slotfit.model.words import Stage
from slotfit.rule import seated
from slotfit.rulebook import SEAT_RULES
from slotfit.solve.engine import Clock
from slotfit.solve.place import Progress, place, silent

AIMS: tuple[Stage, ...] = (
    *("optional-demand", "dark-endpoints", "unproven-facts", "bandwidth", "moves"),
)


def pull_first(
    problem: Problem, part: str, seconds: float = 60.0, progress: Progress = silent
) -> PullFirstAnswer:
    """
    What to pull so that a part can go in, best first.

    Raises InputError if the part is unknown, or in a machine already; InternalError if solver and
    referee disagree.
    """
    problem, clock = canonical(problem), Clock(seconds)
    check_part(problem, part)
    answer = PullFirstAnswer(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        part=part,
        along=(),
        verdict=verdict_with(Status.UNKNOWN, "today's layout was not understood in time"),
        plan=PullPlan(None, ()),
        do=PullDo((), ()),
        watch=PullWatch(0, ()),
        more=PullMore(complete=False),
    )
    search = search_for(problem, part, clock)
    return ranked(search, answer, progress) if search else answer


def ranked(search: RoomSearch, answer: PullFirstAnswer, progress: Progress) -> PullFirstAnswer:
    """The answer filled in."""
    task, part = search.task, search.part
    now = search.layout(search.inside)
    shortfall = search.shortfall(now) if now else (0, 0)
    moved = None if now else search.layout((), search.inside)
    tried = list(every_pull(search, progress)) if now is None or any(shortfall) else []
    if now:
        tried = [one for one in tried if one.shortfall is not None and one.shortfall < shortfall]
    pulls = tuple(one.pull for one in sorted(tried, key=lambda one: one.order))
    plan = PullPlan(search.room(now, part) if now else None, pulls)
    complete = bool(search.clock.left)
    first = [part for pull in pulls[:1] for part in (*pull.items, *pull.riders)]
    facts = search.facts(now)
    moves = tuple(parts_moved(task, moved)) if moved else ()
    cautions = applying(task.problem, [part, *search.along, *first])
    return replace(
        answer,
        along=search.along,
        verdict=verdict_of(
            plan, part, moved=moved is not None, complete=complete, facts=len(facts)
        ),
        plan=plan,
        do=PullDo(
            moves,
            cautions=tuple(one.text for one in cautions),
            cautions_in_short=tuple(one.in_short for one in cautions),
        ),
        watch=PullWatch(shortfall[0], facts),
        more=PullMore(complete),
    )


def check_part(problem: Problem, part: str) -> None:
    """The part is one of the build, and lies beside the machines."""
    if part not in problem.part:
        known = ", ".join(part.id for part in problem.parts if part.id not in problem.today)
        text = f"there is no part {part}; not in a machine today: {known or 'none'}"
        raise InputError([Mistake("--pull-first", "", text)])
    if part in in_machines(problem):
        text = f"{part} is in {problem.today[part]} already; name a part that is to go in"
        raise InputError([Mistake("--pull-first", "", text)])
    if part in problem.retire:
        text = f"{part} is to leave, says `retire`; name a part that is to go in"
        raise InputError([Mistake("--pull-first", "", text)])


def verdict_of(
    plan: PullPlan, part: str, *, moved: bool, complete: bool, facts: int
) -> SequenceVerdict:
    """The answer in one sentence; `moved`: all fits once other parts have moved."""
    now, best = plan.goes_now, next((pull for pull in plan.pulls[:1] if pull.goes), None)
    status = Status.PROVEN if complete else Status.UNPROVEN
    if now:
        link = f", {now.trains_at}" if now.trains_at else ""
        link += ", while the machine runs" if now.while_it_runs else ""
        text = f"nothing has to be pulled, {part} goes into {now.place}{link}"
    elif best and best.goes:
        text = f"pull {' and '.join(best.items)} first, then {part} goes into {best.goes.place}"
    elif moved:
        text = f"no single part need come out for good, {part} goes in once others have moved"
    else:
        status = Status.IMPOSSIBLE if complete else Status.UNKNOWN
        searched = "no part, and no two parts," if complete else "nothing that was tried"
        text = f"pulling {searched} makes room for {part}"
    return verdict_with(status, text, facts if now else len(best.facts) if best else 0)


@dataclass(frozen=True, slots=True)
class RoomSearch:
    """The question that is asked again and again: whether the part goes in like this."""

    task: Task
    """From today's layout, where only the part and what goes along have wishes."""
    part: str
    along: tuple[str, ...]
    inside: tuple[str, ...]
    """What is in a machine today."""
    retired: frozenset[str]
    """Machines and parts that are to leave."""
    clock: Clock

    def layout(self, stay: Iterable[str], move: Iterable[str] = ()) -> Layout | None:
        """A layout with the part in, some parts where they are today, some anywhere, no others."""
        task = self.task
        here = {part: task.today.places[part] for part in stay}
        said = seated_clauses(
            task.problem, task.seating, here, frozenset({*move, self.part, *self.along})
        )
        clauses = [*task.clauses, *said, *self.closed()]
        plan = place(task.problem, task.seating, clauses, self.clock.left).plan
        layout = layout_of(plan) if plan else None
        if layout and (wrong := list(layout_faults(task, layout))):
            raise InternalError("solver and referee disagree: " + "; ".join(wrong))
        return layout

    def closed(self) -> Iterator[Clause]:
        """Nothing comes into a machine that is to leave."""
        places = self.task.today.places
        for part, seats in self.task.seating.by_part.items():
            coming = [one for one in seats if one.receptacle != places.get(part)]
            if gone := [one for one in coming if one.upstream.machine in self.retired]:
                yield AtMost(TODAY, tuple((seat.key, 1) for seat in gone), 0)

    def leaves(self, part: str) -> bool:
        """Whether it is to leave anyway, by itself or as a further plug."""
        return self.task.problem.part[part].body in self.retired

    def room(self, layout: Layout, part: str) -> PartRoom:
        """The place that a part has in a layout."""
        place_ = place_name(self.task.problem, layout.places[part], machine=True)
        live = takes_live(self.task.problem, layout.seat_of[part])
        return PartRoom(part, place_, link_name(layout, part), while_it_runs=bool(live))

    def shortfall(self, layout: Layout) -> tuple[int, int]:
        """
        How the part fares: MB/s that do not get through, facts that its seat rests on.

        Through its link, and through shared links beyond what they lose today.
        """
        seat, stretch = layout.seat_of[self.part], copied_before(self.task, layout)
        shared = max(0, stretch.lost_mb_s - self.task.usual_loss_mb_s)
        return stretch.short(seat) + shared, len(seat.facts)

    def facts(self, layout: Layout | None) -> tuple[UnprovenFact, ...]:
        """What the part's seat rests on."""
        found = layout.seat_of[self.part].facts if layout else ()
        return tuple(unproven(fact, [layout]) for fact in found if layout)


def search_for(problem: Problem, part: str, clock: Clock) -> RoomSearch | None:
    """Today's layout with everything that is asked of services, mirrors and copies."""
    plain = without_wishes(replace(problem, retire=()))
    today = layout_today(plain, *hardware(plain), clock)
    if today is None:
        return None
    along = tuple(parts_along(problem, part))
    parts = tuple(problem.part[i.id] if i.id in (part, *along) else i for i in plain.parts)
    asked = replace(plain, parts=parts, preferences=AIMS)
    seating = seat_all(asked, SEAT_RULES)  # only what goes in has wishes left
    task = task_of(asked, seating, hardware_clauses(asked, seating), today, today)
    inside, retired = tuple(in_machines(problem)), frozenset(problem.retire)
    return RoomSearch(task, part, along, inside, retired, clock)


def parts_along(problem: Problem, part_id: str) -> Iterator[str]:
    """Parts that lie on it today, or that are to go nowhere but on it."""
    inside = in_machines(problem)
    on_it = {receptacle.id for receptacle in problem.receptacles if receptacle.owner == part_id}
    lying = set(parts_on(problem, part_id, problem.today))
    for part in problem.parts:
        wished = {part.wish.pin} if part.wish.pin else set(part.wish.only)
        goes = part.id in lying or (wished and wished <= on_it)
        if goes and part.id not in inside and part.companion_of is None:
            yield part.id


@dataclass(frozen=True, slots=True)
class PullTried:
    """One set of parts that was pulled."""

    pull: Pull
    shortfall: tuple[int, int] | None
    """How the part fares then; None if it has no room."""
    order: tuple[object, ...]
    """The smallest is the best."""


def every_pull(search: RoomSearch, progress: Progress) -> Iterator[PullTried]:
    """Each part by itself; sets of them where none by itself makes room; as time goes."""
    part_of, today, receptacles = (
        search.task.problem.part,
        search.task.today,
        search.task.problem.receptacle,
    )
    bodies = [i for i in sorted(search.inside, key=natural) if part_of[i].companion_of is None]
    on_boards = [part for part in bodies if receptacles[today.places[part]].on_board]
    leaving = [part for part in on_boards if search.leaves(part)]
    makes_room: set[str] = set()
    for number, part in enumerate(bodies):
        progress(f"without {part}", number, len(bodies))
        if not search.clock.left:
            return
        found = pulled(search, (part,))
        makes_room |= {part} if found.shortfall is not None else set()
        yield found
    if makes_room.isdisjoint(leaving) and (fewest := fewest_leaving(search, leaving)):
        makes_room |= {*fewest}
        yield pulled(search, fewest)
    pairs = [] if makes_room else list(combinations(on_boards, 2))
    for number, parts in enumerate(pairs):
        progress(f"without {' and '.join(parts)}", number, len(pairs))
        if not search.clock.left:
            return
        if (found := pulled(search, parts)).shortfall is not None:
            yield found


def fewest_leaving(search: RoomSearch, leaving: Sequence[str]) -> tuple[str, ...]:
    """Of the parts that leave anyway so many that there is room, none too many; else none."""

    def makes_room(parts: Sequence[str]) -> bool:
        out = {*parts, *(one for part in parts for one in riders_of(search.task, part))}
        return search.layout(part for part in search.inside if part not in out) is not None

    if not makes_room(leaving):
        return ()
    needed = [*leaving]
    for part in leaving:
        left = [one for one in needed if one != part]
        needed = left if makes_room(left) else needed
    return tuple(needed)


def riders_of(task: Task, part: str) -> list[str]:
    """What comes out with a part."""
    return parts_on(task.problem, part, task.today.places)


def pulled(search: RoomSearch, parts: tuple[str, ...]) -> PullTried:
    """What it means to pull these."""
    task, problem = search.task, search.task.problem
    below_them = [one for part in parts for one in riders_of(task, part)]
    riders = [one for one in dict.fromkeys(below_them) if problem.part[one].companion_of is None]
    out = {*parts, *riders}
    rest = [part for part in search.inside if part not in out]
    layout = search.layout(rest)
    back = {part for part in out if not search.leaves(part)}
    later = search.layout(rest, back) if layout and back else None
    if later and all(later.places[one] == task.today.places[one] for one in parts if one in back):
        later = None  # they are back, and the part is where it goes without any pull
    now = losses_in(task, layout or without(task.today, out))
    then = losses_in(task, later) if later else now
    anyway = losses_in(task, without(task.today, {*filter(search.leaves, search.inside)}))
    waiting = [copy for copy in task.copies if is_held_up(task, copy, out)]
    until = "until it is in its other place, " if later else ""
    shortfall = search.shortfall(layout) if layout else None
    pull = Pull(
        items=parts,
        riders=tuple(one for one in riders if one not in parts),
        leaves=tuple(one for one in parts if one not in back),
        frees=tuple(freed(task, parts, riders)),
        goes=search.room(layout, search.part) if layout else None,
        facts=search.facts(layout),
        changes=tuple(settings_needed(task, layout)) if layout else (),
        stops=now.stops,
        risks=(*risks(now, then, waiting, until, out), *copied_first(task, out)),
        elsewhere=tuple(search.room(later, one) for one in parts if one in back) if later else (),
        stops_then=then.stops if layout else (),
    )
    homeless = bool(back) and later is None
    order = ranked_by(now - anyway, then - anyway, 0 if later else len(waiting), homeless=homeless)
    place_ = (*order, len(back), len(out), shortfall) if layout else ()
    return PullTried(pull, shortfall, (not layout, *place_, [natural(part) for part in parts]))


def is_held_up(task: Task, copy: CopyJob, out: set[str]) -> bool:
    """Whether a copy that cannot be made today waits for what is out."""
    ends = {*copy.sources, *copy.targets, *copy.through}
    return task.copies.index(copy) not in made_today(task) and not out.isdisjoint(ends)


def ranked_by(now: Losses, then: Losses, out_of_reach: int, *, homeless: bool) -> tuple[int, ...]:
    """
    What makes one set of parts better to pull than another, the smallest first.

    No mirror is left with too few, fewest services stop for good, and no data is out of reach of a
    copy that waits. Then: what came out can live elsewhere or leaves anyway, and fewest services
    stop meanwhile. What stops or is left with too few anyway, once all that leaves is out, does not
    count.
    """
    for_good = (len(then.unsafe), len(then.stops), out_of_reach, int(homeless))
    return (*for_good, len(now.stops), len(now.weakened))


@dataclass(frozen=True, slots=True)
class Losses:
    """What does not run, or is not safe, in a layout; by name."""

    stops: tuple[str, ...]
    """Services."""
    unsafe: tuple[str, ...]
    """Mirrors that have fewer members than they must keep."""
    weakened: tuple[str, ...]
    """Mirrors that lack a member and have enough."""

    def __sub__(self, other: Losses) -> Losses:
        """Those that are not the other's too."""
        return Losses(
            tuple(one for one in self.stops if one not in other.stops),
            tuple(one for one in self.unsafe if one not in other.unsafe),
            tuple(one for one in self.weakened if one not in other.weakened),
        )


def losses_in(task: Task, layout: Layout) -> Losses:
    """Of what runs today."""
    state = copied_before(task, layout)
    machines = [machine.id for machine in task.problem.machines]
    kept = [one for one in task.mirrors if not state.is_released(one)]
    has = {one: max(len(state.members_in(one, name)) for name in machines) for one in kept}
    return Losses(
        tuple(one.name for one in task.services if not one.new and not state.homes(one)),
        tuple(one.name for one in kept if has[one] < one.keep),
        tuple(one.name for one in kept if one.keep <= has[one] < len(one.members)),
    )


def risks(
    now: Losses, then: Losses, waiting: Sequence[CopyJob], until: str, out: set[str]
) -> Iterator[str]:
    """What is at stake, for good or `until` what came out is in its other place."""
    for name in now.unsafe:
        when = until if name not in then.unsafe else ""
        yield f"{when}{name} has too few members left to be in service"
    yield from (f"{until}{name} lacks a member" for name in now.weakened)
    for copy in waiting:
        if out.isdisjoint(copy.sources):
            yield f"{until}{copy.name} cannot be copied"
        else:
            yield f"{until}the data of {copy.name} is out of reach, and it is not copied yet"


def copied_first(task: Task, out: set[str]) -> Iterator[str]:
    """Copies that can be made today, and that what is out would take the data from."""
    for number in sorted(made_today(task)):
        if not out.isdisjoint(task.copies[number].sources):
            yield f"copy {task.copies[number].name} before anything comes out"


def made_today(task: Task) -> frozenset[int]:
    """Copies that can be made before anything is touched, those before them included."""
    stretch = Stretch(task, task.today, frozenset(), frozenset())
    made: frozenset[int] = frozenset()
    for _ in task.copies:
        made |= {
            number
            for number, copy in enumerate(task.copies)
            if made.issuperset(copy.after) and stretch.can_copy(copy)
        }
    return made


def copied_before(task: Task, layout: Layout) -> Stretch:
    """A layout after the copies that can be made today."""
    made = made_today(task)
    return Stretch(task, layout, made, made)


def without(layout: Layout, out: set[str]) -> Layout:
    """The layout when some parts are out."""
    seats = tuple(seat for seat in layout.seats if seat.part not in out)
    places = {part: receptacle for part, receptacle in layout.places.items() if part not in out}
    return Layout(places, layout.arrangements, seats)


def freed(task: Task, part_ids: Sequence[str], riders: Sequence[str]) -> Iterator[str]:
    """Receptacles, watts and plugs that the parts give back."""
    problem = task.problem
    for part in part_ids:
        yield place_name(problem, task.today.places[part], machine=True)
    parts = [problem.part[part].spec for part in dict.fromkeys((*part_ids, *riders))]
    if watts := sum(spec.draw_w for spec in parts):
        yield f"{watts:g} W"
    seats = [task.today.seat_of[part] for part in dict.fromkeys((*part_ids, *riders))]
    powers = [seated(problem, seat).spec.power for seat in seats]
    plugs = Counter(plug for power in powers if power for plug in power.aux)
    yield from (f"{count} {plug} from the supply" for plug, count in plugs.items())


def settings_needed(task: Task, layout: Layout) -> Iterator[SettingStep]:
    """Settings that seats of the new layout need, and that are others today."""
    needed = replace(layout, arrangements=layout.needed)
    for change in changes_between(task.problem, task.today, needed):
        yield setting_step(change, known=change.where in task.problem.settings_today)


def parts_moved(task: Task, moved: Layout) -> Iterator[tuple[str, str, str]]:
    """Parts that are elsewhere when everything is in: part, from, to."""
    problem = task.problem
    for move in moves_between(task.today, moved):
        if move.before and move.after and problem.part[move.item].companion_of is None:
            before, after = (
                place_name(problem, one, machine=True) for one in (move.before, move.after)
            )
            yield move.item, before, after
