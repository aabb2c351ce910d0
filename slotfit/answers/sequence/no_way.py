"""Why no sequence keeps everything asked for, and the smallest help with which one does."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import combinations

from slotfit.answers.names import printed
from slotfit.answers.no_plan.answer import Clash, Sentence
from slotfit.answers.no_plan.case import TooManySeatsError, canonical, case_of
from slotfit.answers.no_plan.clash import clash_of
from slotfit.answers.sequence.task import hardware, reseated
from slotfit.listing import natural
from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.build import BuildPart
from slotfit.model.part import Part
from slotfit.model.problem import Item, Problem, Rig, Site
from slotfit.model.windows import CopyJob, Layout, MirrorJob, Scheduled, ServiceJob, Task
from slotfit.solve.engine import Clock, Result
from slotfit.solve.windows import possible, schedule
from slotfit.standards.forms import plug_fits

Lift = Callable[[Task], Task]


@dataclass(frozen=True)
class Demand:
    """One thing asked for."""

    text: str
    """A clause that fits after "because"."""
    lift: Lift
    """The task without it."""
    copy: int | None = None
    """It is this copy."""
    service: int | None = None
    """It is this service's."""


def demands_of(task: Task) -> list[Demand]:
    """Everything asked for that could be given up, most dispensable first."""
    return [
        *all_at_once(task),
        *arrival_demands(task),
        *service_demands(task),
        *mirror_demands(task),
        *copy_demands(task),
    ]


def all_at_once(task: Task) -> Iterator[Demand]:
    """How many machines may be off."""
    machines = len(task.problem.rigs)
    if task.at_once < machines:
        only = "one machine is" if task.at_once == 1 else f"{task.at_once} machines are"
        text = f"no more than {only} off in one window"
        yield Demand(text, partial(with_at_once, machines=machines))


def with_at_once(task: Task, machines: int) -> Task:
    """The task with so many machines that may be off in one window."""
    return replace(task, at_once=machines)


def arrival_demands(task: Task) -> Iterator[Demand]:
    """What comes later."""
    for name, window in sorted(task.arrivals.items(), key=lambda one: natural(one[0])):
        if window > 1:
            text = f"{name} is not there before window {window}"
            yield Demand(text, partial(without_arrival, name=name))


def without_arrival(task: Task, name: str) -> Task:
    """The task with something there from the first window on."""
    rest = {one: window for one, window in task.arrivals.items() if one != name}
    return replace(task, arrivals=rest)


def service_demands(task: Task) -> Iterator[Demand]:
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
        yield Demand(text, partial(without_service, number=number), service=number)


def without_service(task: Task, number: int) -> Task:
    """The task with a service that may be down as long as need be."""
    free = replace(task.services[number], new=True)
    services = (*task.services[:number], free, *task.services[number + 1 :])
    return replace(task, services=services)


def mirror_demands(task: Task) -> Iterator[Demand]:
    """Mirrors."""
    for mirror in task.mirrors:
        text = f"{mirror.keep} of {mirror.name} stay{'s' if mirror.keep == 1 else ''} in service"
        yield Demand(text, partial(without_mirror, mirror=mirror))


def without_mirror(task: Task, mirror: MirrorJob) -> Task:
    """The task without the keeping of a mirror."""
    return replace(task, mirrors=tuple(one for one in task.mirrors if one != mirror))


def copy_demands(task: Task) -> Iterator[Demand]:
    """Copies."""
    for number, copy in enumerate(task.copies):
        where = "between machines that reach each other" if copy.network else "in one machine"
        text = f"{copy.name} is copied {where} with both in"
        yield Demand(text, partial(without_copy, number=number), copy=number)


def without_copy(task: Task, number: int) -> Task:
    """The task with a copy that can be made anywhere and at any time."""
    return with_copy(task, number, replace(task.copies[number], sources=(), targets=(), through=()))


def with_copy(task: Task, number: int, copy: CopyJob) -> Task:
    """The task with another copy in the place of one."""
    return replace(task, copies=(*task.copies[:number], copy, *task.copies[number + 1 :]))


SPARE = "spare"
"""What a lent receptacle or part is called; a second one is `spare-2`."""


def free_name(names: Collection[str]) -> str:
    """The next name of a lent thing."""
    number = 2
    name = SPARE
    while name in names:
        name, number = f"{SPARE}-{number}", number + 1
    return name


def in_problem(task: Task, problem: Problem) -> Task:
    """The task in a problem that has more in it, from and to the same layouts."""
    seating, clauses = hardware(problem)
    ways = {
        f"{rig.id}/{group.id}": str(group.arrangements[0].id)
        for rig in problem.rigs
        for group in rig.board.lane_groups
    }
    today = ways | dict(task.today.arrangements)
    ends = [(task.today.places, today), (task.goal.places, dict(task.goal.arrangements))]
    layouts = [Layout(places, ways, reseated(seating, dict(places), ways)) for places, ways in ends]
    return replace(
        task,
        problem=problem,
        seating=seating,
        clauses=clauses,
        today=layouts[0],
        goal=layouts[1],
    )


def kinds_of_receptacle(problem: Problem) -> Iterator[Site]:
    """One receptacle of each kind that a board has."""
    for rig in problem.rigs:
        seen = []
        for site in problem.sites:
            if site.owner == rig.id and site.receptacle.id in rig.group_of:
                looks = kind_of(rig, site)
                if looks not in seen:
                    seen.append(looks)
                    yield site


def kind_of(rig: Rig, site: Site) -> object:
    """What tells kinds of receptacles apart; names do not."""
    board, group = lent(rig, site, SPARE)
    no_names = {"label", "isolation"}
    return board.model_dump(exclude=no_names), group.model_dump(exclude=no_names)


def lent(rig: Rig, site: Site, name: str) -> tuple[BoardReceptacle, LaneGroup]:
    """A receptacle of the same kind with lanes of its own, free of the slot row."""
    like, group = site.receptacle, rig.group_of[site.receptacle.id]
    receptacle = next(one for one in rig.board.receptacles if one.id == like.id).model_copy(
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
    return receptacle, lanes


def lend_receptacle(task: Task, like: Site) -> Task:
    """The task with one more receptacle of a kind on the same board."""
    problem = task.problem
    rig = problem.rig[like.owner]
    name = free_name([one.id for one in rig.board.receptacles])
    receptacle, group = lent(rig, like, name)
    board = rig.board.model_copy(
        update={
            "receptacles": (*rig.board.receptacles, receptacle),
            "lane_groups": (*rig.board.lane_groups, group),
        }
    )
    richer = Rig(rig.machine, board, rig.chassis, rig.power_supply)
    site = name if len(problem.rigs) == 1 else f"{rig.id}/{name}"
    made = replace(
        problem,
        rigs=tuple(richer if one is rig else one for one in problem.rigs),
        sites=(*problem.sites, Site(site, rig.id, True, receptacle)),
    )
    return in_problem(task, made)


def lend_part(task: Task, part: Part) -> Task:
    """The task with one more part lying beside the machines."""
    problem = task.problem
    name = free_name(problem.item)
    wish = BuildPart.model_construct(id=name, part=part.id, required=False)
    sites = tuple(Site(f"{name}/{one.id}", name, False, one) for one in part.receptacles)
    made = replace(
        problem,
        items=(*problem.items, Item(name, part, wish)),
        sites=(*problem.sites, *sites),
    )
    return in_problem(task, made)


def carriers_in(problem: Problem) -> Iterator[Part]:
    """Each kind of part of the build that drives go into, once."""
    seen = set()
    for item in problem.items:
        part = item.part
        if item.companion_of is None and part.part_class == "carrier" and part.id not in seen:
            seen.add(part.id)
            yield part


def smallest_of_each_kind(parts: Iterable[Part], known: Iterable[Part]) -> list[Part]:
    """
    Carriers that differ in what they take from a slot and give, fewest sockets first.

    Of those that a build has already, none.
    """
    kinds = {kind_of_carrier(part) for part in known}
    found = []
    for part in sorted(parts, key=lambda one: (len(one.receptacles), one.plug.width or 0, one.id)):
        kind = kind_of_carrier(part)
        if kind not in kinds:
            kinds.add(kind)
            found.append(part)
    return found


def kind_of_carrier(part: Part) -> object:
    """Plug, links and sockets, without their speed."""
    links = tuple((link.at, link.lanes, link.bus) for link in part.links)
    sockets = tuple(sorted(one.form for one in part.receptacles))
    return part.plug.form, part.plug.width, links, sockets, part.wiring


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
        label = printed(site.receptacle)
        text = f"have one receptacle more in {site.owner} for the way, like {label} ({site.id})"
        yield Help("receptacle", text, "", partial(lend_receptacle, like=site))


Progress = Callable[[str, int, int], None]

ENOUGH = 6
"""So many helps that work are worked out."""

ALIKE = 2
"""So many of one kind."""


@dataclass(frozen=True)
class Apart:
    """Why two ends of a copy never run in one machine."""

    copy: CopyJob
    machine: str
    beside: tuple[str, ...]
    """Items that services need in the machine meanwhile."""
    sentences: tuple[Sentence, ...]


@dataclass(frozen=True)
class Helped:
    """Helps that together make it possible, and the best sequence then."""

    helps: tuple[Help, ...]
    scheduled: Scheduled


@dataclass(frozen=True)
class NoWay:
    """What is known of a rebuild that cannot be done as asked."""

    demands: tuple[str, ...]
    """Demands that clash: without any one of them there is a way."""
    minimal: bool
    """That was seen for each of them."""
    apart: tuple[Apart, ...]
    helped: tuple[Helped, ...]
    tried: int
    """Single helps that were tried."""
    complete: bool
    """All were; no smaller help does."""


def no_way(task: Task, catalogued: Sequence[Part], clock: Clock, progress: Progress) -> NoWay:
    """Explain; out of time it is what is known by then."""
    progress("what stands in the way", 0, 3)
    clash, minimal = clashing(task, clock)
    apart = tuple(ends_apart(task, clash, clock))
    progress("what would help", 1, 3)
    every = list(helps(task, catalogued))
    helped, complete = helping(task, every, clock, progress)
    return NoWay(
        tuple(demand.text for demand in clash), minimal, apart, helped, len(every), complete
    )


def clashing(task: Task, clock: Clock) -> tuple[list[Demand], bool]:
    """Demands none of which can be kept out, and whether that was seen for each."""
    kept = demands_of(task)
    minimal = True
    for demand in list(kept):
        rest = [one for one in kept if one is not demand]
        result = possible(with_only(task, rest), clock)
        if result is Result.INFEASIBLE:
            kept = rest
        minimal = minimal and result is not Result.UNKNOWN
    return kept, minimal


def with_only(task: Task, kept: Sequence[Demand]) -> Task:
    """The task with no demands but these."""
    for demand in demands_of(task):
        if all(demand.text != one.text for one in kept):
            task = demand.lift(task)
    return task


def ends_apart(task: Task, clash: Sequence[Demand], clock: Clock) -> Iterator[Apart]:
    """
    For each copy that clashes, each machine in which its ends have no room.

    By themselves, or beside what the services that clash as well need there today.
    """
    services = [task.services[one.service] for one in clash if one.service is not None]
    needed = {item for one in services for need in one.needs for item in need[0].items}
    for demand in clash:
        if demand.copy is None or task.copies[demand.copy].network:
            continue
        copy = task.copies[demand.copy]
        for machine in homes_of(task, copy):
            beside = {
                item
                for item in needed
                if item in task.today.seat_of and task.today.seat_of[item].offer.machine == machine
            }
            for others in (set[str](), beside):
                asked = all_in(task.problem, {*copy.sources, *copy.targets, *others}, machine)
                found = clash_in(asked, clock)
                if found:
                    yield Apart(copy, machine, tuple(sorted(others)), found.sentences)
                    break


def clash_in(problem: Problem, clock: Clock) -> Clash | None:
    """What clashes; None if nothing does, time ran out, or the problem is too large for it."""
    try:
        return clash_of(case_of(problem), clock)[0]
    except TooManySeatsError:
        return None


def homes_of(task: Task, copy: CopyJob) -> list[str]:
    """Machines that the copy has to do with: where its source is today, its target at the goal."""
    ends = [task.today.seat_of.get(item) for item in copy.sources]
    ends += [task.goal.seat_of.get(item) for item in copy.targets]
    return list(dict.fromkeys(seat.offer.machine for seat in ends if seat))


def all_in(problem: Problem, wanted: set[str], machine: str) -> Problem:
    """The question whether these items can run in one machine, whatever else leaves it."""
    items = tuple(
        item._replace(wish=item.wish.model_copy(update={"required": item.id in wanted}))
        for item in problem.items
    )
    sites = tuple(site for site in problem.sites if not site.on_board or site.owner == machine)
    rigs = (problem.rig[machine],)
    return canonical(replace(problem, rigs=rigs, items=items, sites=sites, retire=(), today={}))


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
                helped += [Helped(chosen, found)] if found.schedule else []
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
    subjects = [one.subject or one.text for one in chosen]
    told = any([one.subject for one in known] == subjects for known in alike)
    return not told and len(alike) < ALIKE and len(helped) < ENOUGH


def silent(stage: str, number: int, stages: int) -> None:
    """No progress shown."""
