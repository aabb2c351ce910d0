"""What a plan costs in each preference."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from slotfit.model.board import BoardReceptacle, Hub
from slotfit.model.part import Link
from slotfit.model.problem import Machine, Part, Receptacle
from slotfit.standards import rates
from tests.oracle.alone import draw_w, generation_of, is_near
from tests.oracle.lanes import piece_at, width_of
from tests.oracle.spot import Spot, as_built, climb, fitted, group_at
from tests.oracle.whole import Placed, covers

HOT_W = 50
"""From here on a card warms its neighbour (common practice, no source)."""


def costs(plan: Placed, facts: set[object], serving: set[str]) -> dict[str, int]:
    """Every preference's value; `serving` are parts that another part of the build can sit on."""
    placed = [(plan.parts[name], spot) for name, spot in plan.spots.items()]
    says = {one: ways for one, part in plan.parts.items() if (ways := said(part, serving))}
    must = {one: ways for one, ways in says.items() if plan.parts[one].wish.required}
    able = {one: moves(part, serving) for one, part in plan.parts.items()}
    return {
        "demand": short(plan, must),
        "optional-parts": sum(
            part.wish.weight
            for part in plan.problem.parts
            if part.id not in plan.spots and part.companion_of is None
        ),
        "optional-demand": short(plan, says),
        "dark-endpoints": sum(dark(part, spot) for part, spot in placed),
        "unproven-facts": len(facts),
        "bandwidth": short(plan, able),
        "locality": sum(
            bool(part.wish.near and part.spec.links) and not is_near(part, spot)
            for part, spot in placed
        ),
        "cooling": cooling(plan),
        "moves": sum(touched(plan, name) for name in plan.parts),
        "reserve": sum(able_gb_s(plan, one) for one in out_of_reach(plan)),
        "spare-lanes": sum(unused(part, spot) for part, spot in placed),
    }


def dark(part: Part, spot: Spot) -> int:
    """Links that stay dark, as far as they were wished for."""
    widths = spot.lanes_of(part)
    lit = sum(width > 0 for width in widths)
    wanted = part.wish.endpoints
    return max(0, (len(widths) if wanted is None else min(wanted, len(widths))) - lit)


def rate(bus: str, generation: int, lanes: int) -> int:
    """Usable MB/s each way."""
    return rates.usable_mb_s(bus, generation, lanes) if lanes and bus != "usb" else 0


def own_link(part: Part, spot: Spot, at_most: int = 9) -> int:
    """MB/s that the part's links carry together, each way."""
    return sum(trained_rate(part, link, spot, at_most) for link in part.spec.links)


def trained_rate(part: Part, link: Link, spot: Spot, at_most: int = 9) -> int:
    """MB/s of one link as it trains; where nobody knows any rate, the slowest."""
    width = width_of(link, piece_at(link, spot.contacts, spot.form))
    return rate(link.bus, min(generation_of(part, link, spot) or 1, at_most), width)


def has_sockets(part: Part) -> bool:
    """Whether other parts can be plugged into it and get lanes that it makes."""
    sockets = [
        one for one in part.spec.receptacles if one.form not in ("cooling-mount", "fan-header")
    ]
    return part.spec.wiring != "passive" and bool(sockets)


Ways = tuple[int, int]
"""MB/s in and out."""


def said(part: Part, serving: set[str]) -> Ways | None:
    """What anyone has said that the part moves; None if nobody has."""
    if part.id in serving and has_sockets(part):
        return 0, 0  # it moves what the parts on it move
    words = part.wish.demand or part.spec.demand
    return (round(1000 * words.in_gb_s), round(1000 * words.out_gb_s)) if words else None


def flat_out(part: Part) -> Ways:
    """What the part could move by its own links; one that only serves others asks for nothing."""
    if has_sockets(part):
        return 0, 0
    every = sum(
        rate(link.bus, generation, link.lanes)
        for link in part.spec.links
        if not link.to and (generation := link.generation or part.spec.generation) is not None
    )
    return every, every


def moves(part: Part, serving: set[str]) -> Ways:
    """What the part may move: what is said of it, else all that it could."""
    return said(part, serving) or flat_out(part)


def unused(part: Part, spot: Spot) -> int:
    """
    MB/s, one way, by which the part's own links train below what the part is made for.

    Where nobody has said that, it is made for what it trains at, or else for the least.
    """
    lost = 0
    for link in part.spec.links:
        if not link.to:
            has = trained_rate(part, link, spot)
            seen = generation_of(part, link, spot) if has else None
            best = link.generation or part.spec.generation or seen or 1
            lost += max(0, rate(link.bus, best, link.lanes) - has)
    return lost


def short(plan: Placed, moving: Mapping[str, Ways]) -> int:
    """MB/s, both ways, that never get to a processor, or never leave one."""
    missing = 0
    for way in (0, 1):
        wanted = {one: moving.get(one, (0, 0))[way] for one in plan.spots}
        missing += sum(wanted.values()) - arrives(plan, wanted, ())
    return missing


def arrives(plan: Placed, wanted: dict[str, int], here: tuple[str, ...]) -> int:
    """MB/s that come up to a point, `here` being the shared links from there on; () is the top."""
    own = sum(
        min(wanted[name], own_link(plan.parts[name], spot))
        for name, spot in plan.spots.items()
        if spot.shared == here
    )
    paths = {
        spot.shared[start:]
        for spot in plan.spots.values()
        for start in range(len(spot.shared))
        if spot.shared[start + 1 :] == here
    }
    return own + sum(min(arrives(plan, wanted, path), room(plan, path[0])) for path in paths)


def room(plan: Placed, node: str) -> int:
    """MB/s that a shared link carries, each way: a part's own, or a hub's upwards."""
    if node in plan.parts:
        port = [node, *(name for name in plan.spots if plan.parts[name].joins == node)]
        most = 2 if holds_sata(plan, node) else 9
        return sum(own_link(plan.parts[name], plan.spots[name], most) for name in port)
    machine_id, hub_id = node.split("/")
    machine = next(machine for machine in plan.problem.machines if machine.id == machine_id)
    hub: Hub = next(hub for hub in machine.board.hubs if hub.id == hub_id)
    slowest = min(rate("pcie", *link) for link in uplinks(machine, hub))
    return max(0, slowest - round(hub.background_gb_s * 1000))


def uplinks(machine: Machine, hub: Hub) -> set[tuple[int, int]]:
    """Generation and lanes of a hub's uplink, for each processor and firmware that may be there."""
    socket = next(one for one in machine.board.processors if one.id == climb(machine, hub.id)[1])
    said, shown = machine.entry.processors, machine.entry.firmware
    named = said.get(socket.id) if isinstance(said, dict) else None
    versions = [shown] if shown else ["0", *(f for u in hub.uplinks if (f := u.needs.firmware))]
    return {
        uplink_with(hub, one, numbers(version))
        for one in ([named] if named else socket.takes or [""])
        for version in versions
    }


def uplink_with(hub: Hub, processor: str, firmware: list[int]) -> tuple[int, int]:
    """The first that these have, else the hub's own."""
    for one in hub.uplinks:
        classes, version = one.needs.processor, one.needs.firmware
        is_new = version is None or firmware >= numbers(version)
        if is_new and (classes is None or processor in classes):
            return one.generation, one.lanes
    return hub.generation, hub.lanes


def numbers(version: str) -> list[int]:
    """A version by its numbers."""
    return [int(one) for one in version.split(".")]


def holds_sata(plan: Placed, node: str) -> bool:
    """Whether the lanes up from an expander run as SATA does, at the 6 Gb/s of SAS-2."""
    expanders = {
        name
        for name, part in plan.parts.items()
        if part.spec.wiring == "switch" and {one.bus for one in part.spec.links} == {"sas"}
    }
    for name, spot in plan.spots.items():
        above = list(spot.shared)
        ends = [one for one in plan.parts[name].spec.links if one.bus == "sata" and not one.to]
        if not ends or node not in above or node not in expanders:
            continue
        way = above[: above.index(node) + 1]
        if all(one in expanders and not plan.parts[one].spec.buffers for one in way):
            return True
    return False


def cooling(plan: Placed) -> int:
    """Gaps between neighbours where a fan draws no air, and gaps between two hot cards."""
    begins = {places[0]: name for name in plan.spots if (places := covers(plan, name))}
    found = sum(
        other.receptacle.spec.id in slot.under and draw_w(plan.parts[name].spec) >= HOT_W
        for spot in plan.spots.values()
        if isinstance(slot := spot.receptacle.spec, BoardReceptacle)
        for name, other in plan.spots.items()
        if other.receptacle.owner == spot.receptacle.owner
    )
    for name in plan.spots:
        places = covers(plan, name)
        if not places:
            continue
        owner, row, last = places[-1]
        beside = begins.get((owner, row, last + 1))
        if beside is not None:
            here, there = plan.parts[name].spec, plan.parts[beside].spec
            found += here.cooling == "fan"
            found += draw_w(here) >= HOT_W and draw_w(there) >= HOT_W
    return found


def touched(plan: Placed, part: str) -> bool:
    """Whether somebody has to take hold of the part: it goes elsewhere, or it comes out."""
    today = plan.problem.today
    if part not in today:
        return False
    if part in plan.spots:
        return plan.spots[part].receptacle.id != today[part]
    below = part
    for _ in plan.parts:  # down to the machine that it is in today
        here = next((r for r in plan.problem.receptacles if r.id == today.get(below)), None)
        if here is None:
            return False
        if here.on_board:
            return here.owner not in plan.problem.retire
        below = here.owner
    return False


def out_of_reach(plan: Placed) -> Iterator[Receptacle]:
    """A board's receptacles as often as something is in them or over them."""
    for name, spot in plan.spots.items():
        under = covers(plan, name)[1:]
        for other in plan.problem.receptacles:
            spec = other.spec
            if other.on_board and (
                other.id == spot.receptacle.id
                or (spec.row and (other.owner, spec.row, spec.position) in under)
            ):
                yield other


def able_gb_s(plan: Placed, receptacle: Receptacle) -> int:
    """GB/s that a board's receptacle could give at its best: not without its processor."""
    machine = next(one for one in plan.problem.machines if one.id == receptacle.owner)
    group = group_at(machine, receptacle.spec.id)
    if group is None or climb(machine, group.from_)[1] in absent(machine):
        return 0
    best = 0
    for way in as_built(machine, group).arrangements:
        ways = Counter[str]()
        for width in way.gives.get(receptacle.spec.id, ()):
            ways[group.bus if isinstance(width, int) else width] += (
                width if isinstance(width, int) else 1
            )
        if way.proof != "refuted":
            # A generation counts within its bus; of an unknown one the slowest is sure.
            best = max(
                best,
                sum(
                    rate(bus, (group.generation or 1) if bus == group.bus else 1, lanes)
                    for bus, lanes in ways.items()
                ),
            )
    return (best + 999) // 1000


def absent(machine: Machine) -> set[str]:
    """Processors of the board that are not fitted."""
    return {one.id for one in machine.board.processors} - fitted(machine)
