"""The same rebuild with something lent to it: one more receptacle, or one more carrier."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace

from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.build_part import BuildPart
from slotfit.model.part import Part
from slotfit.model.problem import Item, Problem, Rig, Site
from slotfit.model.windows import Layout, Task
from slotfit.sequence.layouts import hardware, reseated

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
