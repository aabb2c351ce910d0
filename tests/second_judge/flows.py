"""What flows and what is missing (docs/explanation/preferences.md, "What flows")."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass

import networkx as nx

from tests.second_judge.build import Build, Part
from tests.second_judge.links import Plan, usable

Moves = Callable[[Build, Part], tuple[int, int]]
"""MB/s towards a part and from it."""


@dataclass(frozen=True)
class Shared:
    """A shared link: what it carries each way, what arrives, what is missing."""

    capacity: int
    arrives: tuple[int, int]
    missing: int


def able(part: Part) -> int:
    """What a part's links could carry at its own lanes and generation."""
    return sum(
        usable(link.bus, link.generation, link.lanes)
        for link in part.ends
        if link.generation is not None
    )


def never_all(part: Part) -> bool:
    """A switch or controller with receptacles."""
    return part.wiring != "passive" and bool(part.sockets)


def said_of_it(build: Build, part: Part) -> tuple[int, int]:
    """What is said of a part, unless what sits on it moves instead."""
    if part.whole in build.feeding:
        return 0, 0
    return part.demand or (0, 0)


def said_of_required(build: Build, part: Part) -> tuple[int, int]:
    return said_of_it(build, part) if part.wish.get("required", True) else (0, 0)


def all_it_can(build: Build, part: Part) -> tuple[int, int]:
    """What is said of it; else all that its links could carry."""
    if part.demand is not None or never_all(part):
        return said_of_it(build, part)
    return able(part), able(part)


def missing(plan: Plan, moves: Moves) -> int:
    """MB/s that do not get through, in and out added."""
    return sum(own_loss(plan, moves).values()) + sum(
        one.missing for one in shared_links(plan, moves).values()
    )


def own_loss(plan: Plan, moves: Moves) -> dict[str, int]:
    """Part -> MB/s missing at its own links, in and out together."""
    return {
        name: sum(
            max(0, moved - plan.carries(name)) for moved in moves(plan.build, plan.part(name))
        )
        for name in plan.seats
    }


def capacity(plan: Plan, at: str) -> int:
    """Of a switch's or controller's link upwards, or of a hub's."""
    kind, _, name = at.partition(" ")
    if kind == "hub":
        machine, _, hub = name.partition("/")
        said = plan.build.hubs(machine)[hub]
        background = round(said.get("background_gb_s", 0) * 1000)
        return max(0, usable("pcie", said["generation"], said["lanes"]) - background)
    joined = [
        one.id
        for one in plan.build.parts.values()
        if one.extra
        and one.whole == plan.part(name).whole
        and one.extra.get("joins") == (plan.part(name).extra or {}).get("id", "")
    ]
    ports = [one for one in (name, *joined) if one in plan.seats]
    if sata_above(plan, name):
        return sum(
            usable("sas", min(up.generation or 1, 2), up.lanes)
            for one in ports
            for up in plan.trained(one)
        )
    return sum(map(plan.carries, ports))


def sata_above(plan: Plan, expander: str) -> bool:
    """A SATA drive whose data crosses the expander, and nothing that buffers on its way there."""
    for name in plan.seats:
        way = upwards(plan, name)
        if f"part {expander}" not in way or all(end.bus != "sata" for end in plan.part(name).ends):
            continue
        crossed = [one.partition(" ")[2] for one in way[: way.index(f"part {expander}") + 1]]
        if all(is_slow_expander(plan, one) for one in crossed):
            return True
    return False


def is_slow_expander(plan: Plan, name: str) -> bool:
    part = plan.build.parts.get(name)
    return (
        part is not None
        and part.wiring == "switch"
        and bool(part.links)
        and all(link.bus == "sas" for link in part.links)
        and part.said.get("buffers") is not True
    )


def upwards(plan: Plan, name: str) -> list[str]:
    """Shared links from a part up to the processor, the lowest first."""
    found = []
    site = plan.build.sites[plan.seats[name]]
    while site.part is not None:
        bearer = plan.part(site.part)
        plug = plan.feeder(bearer, site)
        if bearer.wiring != "passive":
            found.append(f"part {leader(plug)}")
        site = plan.build.sites[plan.seats[plug.id]]
    key = plan.build.group_of.get(site.id)
    source = plan.build.groups[key].source if key else None
    while source in plan.build.hubs(site.machine or ""):
        found.append(f"hub {site.machine}/{source}")
        source = plan.build.hubs(site.machine or "")[source]["from"]
    return found


def leader(plug: Part) -> str:
    """The plug that another joins, of which the wide port is called."""
    joined = (plug.extra or {}).get("joins")
    return f"{plug.whole}:{joined}" if joined else plug.id


def shared_links(plan: Plan, moves: Moves) -> dict[str, Shared]:
    """Each shared link with something below it."""
    way = nx.DiGraph()
    arriving: dict[str, list[int]] = defaultdict(lambda: [0, 0])
    for name in plan.seats:
        above = upwards(plan, name)
        nx.add_path(way, above)
        through = [min(moved, plan.carries(name)) for moved in moves(plan.build, plan.part(name))]
        if above:
            for direction in (0, 1):
                arriving[above[0]][direction] += through[direction]
    found = {}
    for at in nx.topological_sort(way):
        limit = capacity(plan, at)
        got = arriving[at]
        found[at] = Shared(limit, (got[0], got[1]), sum(max(0, one - limit) for one in got))
        for above in way.successors(at):
            for direction in (0, 1):
                arriving[above][direction] += min(limit, got[direction])
    return found
