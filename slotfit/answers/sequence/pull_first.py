"""A full machine and a part that must go in: which parts to pull for it, and what that means."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from slotfit.answers.no_plan.case import canonical
from slotfit.answers.place.answer import UnprovenFact
from slotfit.answers.place.cautions import cautions_for
from slotfit.answers.place.plan import Progress
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
)
from slotfit.answers.sequence.names import link_name, place_name, setting_step, unproven
from slotfit.answers.sequence.referee import layout_faults
from slotfit.answers.sequence.stretches import Stretch
from slotfit.answers.sequence.task import (
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
from slotfit.listing import natural
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.model.windows import Layout, Task, changes_between, moves_between
from slotfit.model.words import Stage
from slotfit.rulebook import SEAT_RULES
from slotfit.solve.engine import Clock
from slotfit.solve.place import place, silent

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
        verdict=SequenceVerdict(
            Status.UNKNOWN.value, "Time ran out before today's layout was understood"
        ),
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
    moves = tuple(parts_moved(task, moved)) if moved else ()
    return replace(
        answer,
        along=search.along,
        verdict=verdict_of(plan, part, moved=moved is not None, complete=complete),
        plan=plan,
        do=PullDo(moves, cautions_for(task.problem, [part, *search.along, *first])),
        watch=PullWatch(shortfall[0], search.facts(now)),
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


def verdict_of(plan: PullPlan, part: str, *, moved: bool, complete: bool) -> SequenceVerdict:
    """The answer in one sentence; `moved`: all fits once other parts have moved."""
    now, best = plan.goes_now, next((pull for pull in plan.pulls[:1] if pull.goes), None)
    status = Status.PROVEN if complete else Status.UNPROVEN
    if now:
        link = f", {now.trains_at}" if now.trains_at else ""
        text = f"Nothing has to be pulled: {part} goes into {now.place}{link}"
    elif best and best.goes:
        text = f"Pull {' and '.join(best.items)} first: then {part} goes into {best.goes.place}"
    elif moved:
        text = f"No single part need come out for good: {part} goes in once others have moved"
    else:
        status = Status.IMPOSSIBLE if complete else Status.UNKNOWN
        searched = "no part, and no two parts," if complete else "nothing that was tried"
        text = f"Pulling {searched} makes room for {part}"
    return SequenceVerdict(status.value, text)


@dataclass(frozen=True, slots=True)
class RoomSearch:
    """The question that is asked again and again: whether the part goes in like this."""

    task: Task
    """From today's layout, where only the part and what goes along have wishes."""
    part: str
    along: tuple[str, ...]
    inside: tuple[str, ...]
    """What is in a machine today."""
    clock: Clock

    def layout(self, stay: Iterable[str], move: Iterable[str] = ()) -> Layout | None:
        """A layout with the part in, some parts where they are today, some anywhere, no others."""
        task = self.task
        here = {part: task.today.places[part] for part in stay}
        said = seated_clauses(
            task.problem, task.seating, here, frozenset({*move, self.part, *self.along})
        )
        plan = place(task.problem, task.seating, [*task.clauses, *said], self.clock.left).plan
        layout = layout_of(plan) if plan else None
        if layout and (wrong := list(layout_faults(task, layout))):
            raise InternalError("solver and referee disagree: " + "; ".join(wrong))
        return layout

    def room(self, layout: Layout, part: str) -> PartRoom:
        """The place that a part has in a layout."""
        place_ = place_name(self.task.problem, layout.places[part], machine=True)
        return PartRoom(part, place_, link_name(layout, part))

    def shortfall(self, layout: Layout) -> tuple[int, int]:
        """How the part fares: MB/s that do not get through its link, facts its seat rests on."""
        seat = layout.seat_of[self.part]
        return no_copies(self.task, layout).short(seat), len(seat.facts)

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
    return RoomSearch(task, part, along, tuple(in_machines(problem)), clock)


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
    """Each part by itself; pairs of board parts where no single one makes room; as time goes."""
    part_of, today, receptacles = (
        search.task.problem.part,
        search.task.today,
        search.task.problem.receptacle,
    )
    bodies = [i for i in sorted(search.inside, key=natural) if part_of[i].companion_of is None]
    on_boards = [part for part in bodies if receptacles[today.places[part]].on_board]
    makes_room = False
    for size, chosen in ((1, bodies), (2, on_boards)):
        sets = [] if makes_room else list(combinations(chosen, size))
        for number, parts in enumerate(sets):
            progress(f"without {' and '.join(parts)}", number, len(sets))
            if not search.clock.left:
                return
            found = pulled(search, parts)
            makes_room = makes_room or found.shortfall is not None
            if size == 1 or found.shortfall is not None:
                yield found


def pulled(search: RoomSearch, parts: tuple[str, ...]) -> PullTried:
    """What it means to pull these."""
    task, problem = search.task, search.task.problem
    below_them = [one for part in parts for one in parts_on(problem, part, task.today.places)]
    riders = [one for one in dict.fromkeys(below_them) if problem.part[one].companion_of is None]
    out = {*parts, *riders}
    rest = [part for part in search.inside if part not in out]
    layout = search.layout(rest)
    later = search.layout(rest, out) if layout else None
    if later and all(later.places[one] == task.today.places[one] for one in parts):
        later = None  # they are back, and the part is where it goes without any pull
    now = losses_in(task, layout or without(task.today, out))
    then = losses_in(task, later) if later else now
    uncopied = [copy.name for copy in task.copies if not out.isdisjoint(copy.sources)]
    until = "until it is in its other place, " if later else ""
    shortfall = search.shortfall(layout) if layout else None
    pull = Pull(
        items=parts,
        riders=tuple(one for one in riders if one not in parts),
        frees=tuple(freed(task, parts, riders)),
        goes=search.room(layout, search.part) if layout else None,
        facts=search.facts(layout),
        changes=tuple(settings_needed(task, layout)) if layout else (),
        stops=now.stops,
        risks=tuple(risks(now, then, uncopied, until)),
        elsewhere=tuple(search.room(later, part) for part in parts) if later else (),
        stops_then=then.stops if layout else (),
    )
    order = (*ranked_by(now, then, uncopied, later), len(out), shortfall) if layout else ()
    return PullTried(pull, shortfall, (not layout, *order, [natural(part) for part in parts]))


def ranked_by(
    now: Losses, then: Losses, uncopied: Sequence[str], later: Layout | None
) -> tuple[int, ...]:
    """
    What makes one set of parts better to pull than another, the smallest first.

    No mirror is left with too few, fewest services stop for good, and no data is out of reach of a
    copy that waits. Then: what came out can live elsewhere, and fewest services stop meanwhile.
    """
    out_of_reach = 0 if later else len(uncopied)
    for_good = (len(then.unsafe), len(then.stops), out_of_reach, int(later is None))
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


def losses_in(task: Task, layout: Layout) -> Losses:
    """Of what runs today."""
    state = no_copies(task, layout)
    machines = [machine.id for machine in task.problem.machines]
    has = {one: max(len(state.members_in(one, name)) for name in machines) for one in task.mirrors}
    return Losses(
        tuple(one.name for one in task.services if not one.new and not state.homes(one)),
        tuple(one.name for one in task.mirrors if has[one] < one.keep),
        tuple(one.name for one in task.mirrors if one.keep <= has[one] < len(one.members)),
    )


def risks(now: Losses, then: Losses, uncopied: Sequence[str], until: str) -> Iterator[str]:
    """What is at stake, for good or `until` what came out is in its other place."""
    for name in now.unsafe:
        when = until if name not in then.unsafe else ""
        yield f"{when}{name} has too few members left to be in service"
    yield from (f"{until}{name} lacks a member" for name in now.weakened)
    for name in uncopied:
        yield f"{until}the data of {name} is out of reach, and it is not copied yet"


def no_copies(task: Task, layout: Layout) -> Stretch:
    """A layout with no copy made."""
    return Stretch(task, layout, frozenset(), frozenset())


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
    plugs = Counter(plug for spec in parts if spec.power for plug in spec.power.aux)
    yield from (f"{count} {plug} from the supply" for plug, count in plugs.items())


def settings_needed(task: Task, layout: Layout) -> Iterator[SettingStep]:
    """Settings that seats of the new layout need, and that are others today."""
    needed = replace(layout, arrangements=layout.needed)
    for change in changes_between(task.problem, task.today, needed):
        yield setting_step(change)


def parts_moved(task: Task, moved: Layout) -> Iterator[tuple[str, str, str]]:
    """Parts that are elsewhere when everything is in: part, from, to."""
    problem = task.problem
    for move in moves_between(task.today, moved):
        if move.before and move.after and problem.part[move.item].companion_of is None:
            before, after = (
                place_name(problem, one, machine=True) for one in (move.before, move.after)
            )
            yield move.item, before, after
