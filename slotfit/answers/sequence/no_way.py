"""Why no sequence keeps everything asked for, and the smallest help with which one does."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import chain, combinations, count

from slotfit.answers.names import printed
from slotfit.answers.no_plan.case import TooManySeatsError, canonical, case_of
from slotfit.answers.no_plan.changed import with_parts
from slotfit.answers.no_plan.clash import clash_of
from slotfit.answers.place.decided import reseated
from slotfit.answers.sequence.answer import EndsApart, NoWay, Relief
from slotfit.answers.sequence.task import hardware
from slotfit.listing import counted, natural
from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.build import BuildPart
from slotfit.model.part import PartSpec
from slotfit.model.problem import Machine, Part, Problem, Receptacle
from slotfit.model.windows import (
    CopyJob,
    MirrorJob,
    Schedule,
    Scheduled,
    ServiceJob,
    Task,
)
from slotfit.solve.engine import Clock, Result
from slotfit.solve.place import Progress, silent
from slotfit.solve.windows import possible, schedule
from slotfit.standards.forms import plug_fits

Lift = Callable[[Task], Task]


@dataclass(frozen=True, slots=True)
class Requirement:
    """One thing asked for."""

    text: str
    """A clause that fits after "because"."""
    lift: Lift
    """The task without it."""
    copy: CopyJob | None = None
    """It is this copy."""
    service: ServiceJob | None = None
    """It is this service's."""


def requirements(task: Task) -> list[Requirement]:
    """Everything asked for that could be given up, most dispensable first."""
    found = []
    if task.at_once < (machines := len(task.problem.machines)):
        only = "one machine is" if task.at_once == 1 else f"{task.at_once} machines are"
        text = f"no more than {only} off in one window"
        found.append(Requirement(text, partial(replace, at_once=machines)))
    for name in sorted(task.arrivals, key=natural):
        if (window := task.arrivals[name]) > 1:
            text = f"{name} is not there before window {window}"
            found.append(Requirement(text, partial(without_arrival, name=name)))
    return [*found, *service_requirements(task), *data_requirements(task)]


def service_requirements(task: Task) -> Iterator[Requirement]:
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
        lift = partial(with_service, number=number, service=replace(service, new=True))
        yield Requirement(text, lift, service=service)


def data_requirements(task: Task) -> Iterator[Requirement]:
    """Mirrors and copies."""
    for mirror in task.mirrors:
        text = f"{mirror.keep} of {mirror.name} stay{'s' if mirror.keep == 1 else ''} in service"
        yield Requirement(text, partial(without_mirror, mirror=mirror))
    for number, copy in enumerate(task.copies):
        where = "between machines that reach each other" if copy.network else "in one machine"
        free = replace(copy, sources=(), targets=(), through=())
        lift = partial(with_copy, number=number, copy=free)
        yield Requirement(f"{copy.name} is copied {where} with both in", lift, copy=copy)


def without_arrival(task: Task, name: str) -> Task:
    """The task with something there from the first window on."""
    return replace(task, arrivals={one: at for one, at in task.arrivals.items() if one != name})


def without_mirror(task: Task, mirror: MirrorJob) -> Task:
    """The task without the keeping of a mirror."""
    return replace(task, mirrors=tuple(one for one in task.mirrors if one != mirror))


def with_service(task: Task, number: int, service: ServiceJob) -> Task:
    """The task with another service in the place of one."""
    before, after = task.services[:number], task.services[number + 1 :]
    return replace(task, services=(*before, service, *after))


def with_copy(task: Task, number: int, copy: CopyJob) -> Task:
    """The task with another copy in the place of one."""
    return replace(task, copies=(*task.copies[:number], copy, *task.copies[number + 1 :]))


SPARE = "spare"
"""What a lent receptacle or part is called; a second one is `spare-2`."""


def free_name(names: Collection[str]) -> str:
    """The next name of a lent thing."""
    every = chain([SPARE], (f"{SPARE}-{number}" for number in count(2)))
    return next(name for name in every if name not in names)


def in_problem(task: Task, problem: Problem) -> Task:
    """The task in a problem that has more in it, from and to the same layouts."""
    seating, clauses = hardware(problem)
    first = {key: str(group.arrangements[0].id) for key, group in problem.lane_groups.items()}
    today, goal = (
        replace(end, arrangements=ways, seats=reseated(seating, end.places, ways))
        for end, ways in (
            (task.today, {**first, **task.today.arrangements}),
            (task.goal, task.goal.arrangements),
        )
    )
    return replace(task, problem=problem, seating=seating, clauses=clauses, today=today, goal=goal)


def kinds_of_receptacle(problem: Problem) -> Iterator[Receptacle]:
    """One receptacle of each kind that a board has; names do not tell kinds apart."""
    seen = []
    no_names = {"label", "isolation"}
    for receptacle in problem.receptacles:
        if receptacle.on_board and receptacle.spec.id in problem.machine[receptacle.owner].group_of:
            things = lent(problem.machine[receptacle.owner], receptacle, SPARE)
            kind = (receptacle.owner, *(one.model_dump(exclude=no_names) for one in things))
            if kind not in seen:
                seen.append(kind)
                yield receptacle


def lent(machine: Machine, receptacle: Receptacle, name: str) -> tuple[BoardReceptacle, LaneGroup]:
    """A receptacle of the same kind with lanes of its own, free of the slot row."""
    like, group = receptacle.spec, machine.group_of[receptacle.spec.id]
    spec = next(one for one in machine.board.receptacles if one.id == like.id).model_copy(
        update={
            "id": name,
            "label": None,
            "row": None,
            "position": 0,
            "blocked_by": (),
            "isolation": name,
        }
    )
    ways: dict[object, Arrangement] = {}
    for way in group.arrangements:
        if like.id in way.gives:
            made = {"gives": {name: way.gives[like.id]}, "id": f"{name}.{len(ways)}"}
            ways.setdefault((way.gives[like.id], way.proof, way.order), way.model_copy(update=made))
    lanes = group.model_copy(update={"id": name, "arrangements": tuple(ways.values())})
    return spec, lanes


def lend_receptacle(task: Task, like: Receptacle) -> Task:
    """The task with one more receptacle of a kind on the same board."""
    problem = task.problem
    machine = problem.machine[like.owner]
    name = free_name([one.id for one in machine.board.receptacles])
    receptacle, group = lent(machine, like, name)
    board = machine.board.model_copy(
        update={
            "receptacles": (*machine.board.receptacles, receptacle),
            "lane_groups": (*machine.board.lane_groups, group),
        }
    )
    richer = Machine(machine.entry, board, machine.chassis, machine.power_supply)
    receptacle_id = problem.receptacle_id(machine.id, name)
    made = replace(
        problem,
        machines=tuple(richer if one is machine else one for one in problem.machines),
        receptacles=(*problem.receptacles, Receptacle(receptacle_id, machine.id, True, receptacle)),
    )
    return in_problem(task, made)


def lend_part(task: Task, spec: PartSpec) -> Task:
    """The task with one more part lying beside the machines."""
    problem = task.problem
    name = free_name(problem.part)
    wish = BuildPart.model_construct(id=name, part=spec.id, required=False)
    return in_problem(task, with_parts(problem, (*problem.parts, Part(name, spec, wish))))


def lendable(task: Task, catalogued: Iterable[PartSpec]) -> Iterator[PartSpec]:
    """
    Each kind of carrier of the build, then others that take a drive to be copied.

    Of the others one of each kind that differs in what it takes from a slot and gives, and that the
    build has not: the one with the fewest sockets.
    """
    problem = task.problem
    parts = [part.spec for part in problem.parts if part.companion_of is None]
    own = list({spec.id: spec for spec in parts if spec.part_class == "carrier"}.values())
    yield from own
    kinds = {kind_of_carrier(spec) for spec in own}
    drives = {part for copy in task.copies for part in (*copy.sources, *copy.targets)}
    plugs = {problem.part[part].spec.plug.form for part in drives}
    for spec in sorted(
        catalogued, key=lambda one: (len(one.receptacles), one.plug.width or 0, one.id)
    ):
        sockets = {one.form for one in spec.receptacles}
        kind = kind_of_carrier(spec)
        takes = any(plug_fits(plug, form) for plug in plugs for form in sockets)
        if takes and kind not in kinds:
            kinds.add(kind)
            yield spec


def kind_of_carrier(spec: PartSpec) -> object:
    """Plug, links and sockets, without their speed."""
    links = tuple((link.at, link.lanes, link.bus) for link in spec.links)
    sockets = tuple(sorted(one.form for one in spec.receptacles))
    return spec.plug.form, spec.plug.width, links, sockets, spec.wiring


MORE_WINDOWS = 4
"""So many windows more are tried."""


@dataclass(frozen=True, slots=True)
class Help:
    """One thing that is lent or softened."""

    kind: str
    """longer | network | window | carrier | receptacle | arrival"""
    do: str
    """What to do, as an order."""
    write: str
    """What to change in the build file; empty where it is nothing to write."""
    apply: Lift
    subject: str = ""
    """What it is about; of several helps about one thing the first that works is enough."""


def helps(task: Task, catalogued: Sequence[PartSpec]) -> Iterator[Help]:
    """
    Every single help, the cheapest first.

    `catalogued`: carriers that could be borrowed; those of the build count by themselves.
    """
    yield from longer(task)
    yield from other_terms(task)
    for spec in lendable(task, catalogued):
        yield Help(
            "carrier",
            f"borrow one carrier for the way: {spec.name or spec.id} ({spec.id})",
            f"parts: {{id: {SPARE}, part: {spec.id}}}; retire: [{SPARE}]",
            partial(lend_part, spec=spec),
        )
    for receptacle in kinds_of_receptacle(task.problem):
        label = printed(receptacle.spec)
        do = (
            f"have one receptacle more in {receptacle.owner} for the way, like {label} "
            f"({receptacle.id})"
        )
        yield Help("receptacle", do, "", partial(lend_receptacle, like=receptacle))


def longer(task: Task) -> Iterator[Help]:
    """One service down for longer, or cut off in any window."""
    for number, service in enumerate(task.services):
        if service.new:
            continue
        for down in range(service.may_be_down + 1, service.may_be_down + min(3, task.most_windows)):
            made = replace(service, may_be_down=down)
            yield Help(
                "longer",
                f"let {service.name} be down from one window to the next, {counted(down, 'time')} "
                "in all",
                f"services: {{id: {service.name}, may_be_down: {down}}}",
                partial(with_service, number=number, service=made),
                service.name,
            )
        if service.windows is not None:
            yield Help(
                "longer",
                f"let {service.name} be cut off in any window",
                f"services: {{id: {service.name}}} without `windows`",
                partial(with_service, number=number, service=replace(service, windows=None)),
            )


def other_terms(task: Task) -> Iterator[Help]:
    """A copy from machine to machine, more machines off, more windows, earlier arrivals."""
    for number, copy in enumerate(task.copies):
        if not copy.network:
            lift = partial(with_copy, number=number, copy=replace(copy, network=True))
            yield Help(
                "network", f"copy {copy.name} over the network", "copies: {over: network}", lift
            )
    if task.at_once < len(task.problem.machines):
        more = task.at_once + 1
        lift = partial(replace, at_once=more)
        yield Help("window", f"switch {more} machines off in one window", f"at_once: {more}", lift)
    yield more_windows(task)
    for name, window in task.problem.sequence.arrivals.items():
        if window > 1:
            lift = partial(without_arrival, name=name)
            do = f"have {name} there before the first window"
            yield Help("arrival", do, f"arrivals: without {name}", lift)


def more_windows(task: Task) -> Help:
    """Windows beyond the most that are allowed."""
    most = task.most_windows + MORE_WINDOWS
    lift = partial(replace, most_windows=most)
    return Help("window", f"allow up to {most} windows", f"most_windows: {most}", lift)


ENOUGH = 6
"""So many helps that work are worked out."""

ALIKE = 2
"""So many of one kind."""


@dataclass(frozen=True, slots=True)
class Helped:
    """Helps that together make it possible, and the best sequence then."""

    helps: tuple[Help, ...]
    schedule: Schedule


def no_way(
    task: Task, made: Scheduled, catalogued: Sequence[PartSpec], clock: Clock, progress: Progress
) -> NoWay:
    """Explain what the search for windows ended with; out of time it is what is known by then."""
    progress("what stands in the way", 0, 3)
    clash, minimal = clashing(task, clock)
    apart = tuple(ends_apart(task, clash, clock))
    progress("what would help", 1, 3)
    every = list(helps(task, catalogued))
    helped, complete = helping(task, every, clock, progress)
    return NoWay(
        ruled_out=None if made.ruled_out > task.most_windows else made.ruled_out,
        demands=tuple(demand.text for demand in clash),
        minimal=minimal,
        apart=apart,
        helps=tuple(
            Relief(
                do=tuple(help_.do for help_ in one.helps),
                write=tuple(help_.write for help_ in one.helps if help_.write),
                totals=one.schedule.totals,
                proven=one.schedule.totals == one.schedule.bound,
            )
            for one in helped
        ),
        tried=len(every),
        complete=complete,
    )


def clashing(task: Task, clock: Clock) -> tuple[list[Requirement], bool]:
    """Demands none of which can be kept out, and whether that was seen for each."""
    kept = requirements(task)
    minimal = True
    for demand in list(kept):
        rest = [one for one in kept if one is not demand]
        result = possible(with_only(task, rest), clock)
        if result is Result.INFEASIBLE:
            kept = rest
        minimal = minimal and result is not Result.UNKNOWN
    return kept, minimal


def with_only(task: Task, kept: Sequence[Requirement]) -> Task:
    """The task with no demands but these."""
    for demand in requirements(task):
        if all(demand.text != one.text for one in kept):
            task = demand.lift(task)
    return task


def ends_apart(task: Task, clash: Sequence[Requirement], clock: Clock) -> Iterator[EndsApart]:
    """
    For each copy that clashes, each machine in which its ends have no room.

    By themselves, or beside what the services that clash as well need there today.
    """
    services = [one.service for one in clash if one.service]
    needed = {part for one in services for need in one.needs for part in need[0].items}
    for copy in (one.copy for one in clash if one.copy and not one.copy.network):
        for machine in homes_of(task, copy):
            beside = {part for part in needed if task.today.machine(part) == machine}
            for others in (set[str](), beside):
                asked = all_in(task.problem, {*copy.sources, *copy.targets, *others}, machine)
                try:
                    found = clash_of(case_of(asked), clock)[0]
                except TooManySeatsError:
                    continue
                if found:
                    reasons = tuple((one.says.text, one.says.rule) for one in found.sentences)
                    yield EndsApart(copy.name, machine, tuple(sorted(others)), reasons)
                    break


def homes_of(task: Task, copy: CopyJob) -> list[str]:
    """Machines that the copy has to do with: where its source is today, its target at the goal."""
    ends = [task.today.machine(part) for part in copy.sources]
    ends += [task.goal.machine(part) for part in copy.targets]
    return [machine for machine in dict.fromkeys(ends) if machine]


def all_in(problem: Problem, wanted: set[str], machine: str) -> Problem:
    """The question whether these parts can run in one machine, whatever else leaves it."""
    parts = tuple(
        replace(part, wish=part.wish.model_copy(update={"required": part.id in wanted}))
        for part in problem.parts
    )
    receptacles = tuple(
        one for one in problem.receptacles if not one.on_board or one.owner == machine
    )
    machines = (problem.machine[machine],)
    return canonical(
        replace(
            problem, machines=machines, parts=parts, receptacles=receptacles, retire=(), today={}
        )
    )


def helping(
    task: Task, every: Sequence[Help], clock: Clock, progress: Progress
) -> tuple[tuple[Helped, ...], bool]:
    """The single helps that work, or else pairs that do, each with its sequence."""
    helped: list[Helped] = []
    complete = True
    for size in (1, 2):
        sets = list(combinations(every, size))
        for number, chosen in enumerate(sets):
            progress(" and ".join(one.kind for one in chosen), number, len(sets))
            result = Result.UNKNOWN
            if not_enough(helped, chosen):
                result = possible(helped_task(task, chosen), clock)
                complete = complete and result is not Result.UNKNOWN
            if result is Result.OPTIMAL:
                found = schedule(helped_task(task, chosen), clock, silent)
                helped += [Helped(chosen, found.schedule)] if found.schedule else []
        if helped or not clock.left:
            break
    return tuple(helped), complete


def helped_task(task: Task, chosen: Sequence[Help]) -> Task:
    """The task with some helps."""
    for one in chosen:
        task = one.apply(task)
    return task


def not_enough(helped: Sequence[Helped], chosen: Sequence[Help]) -> bool:
    """Whether another example of these kinds tells something new."""
    kinds = [one.kind for one in chosen]
    alike = [known.helps for known in helped if [one.kind for one in known.helps] == kinds]
    subjects = [one.subject or one.do for one in chosen]
    told = any([one.subject for one in known] == subjects for known in alike)
    return not told and len(alike) < ALIKE and len(helped) < ENOUGH
