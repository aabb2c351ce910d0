"""What a plan costs in each preference."""

from __future__ import annotations

from slotfit.model.board import Hub
from slotfit.model.part import Link
from slotfit.model.problem import Part
from slotfit.standards import pcie, storage
from tests.oracle.alone import draw_w, generation_of, is_near
from tests.oracle.lanes import piece_at, width_of
from tests.oracle.spot import Spot, group_at
from tests.oracle.whole import Placed, covers

HOT_W = 50
"""From here on a card warms its neighbour (common practice, no source)."""


def costs(plan: Placed, facts: set[object], serving: set[str]) -> dict[str, int]:
    """Every preference's value; `serving` are parts that another part of the build can sit on."""
    placed = [(plan.parts[name], spot) for name, spot in plan.spots.items()]
    return {
        "optional-parts": sum(
            part.wish.weight
            for part in plan.problem.parts
            if part.id not in plan.spots and part.companion_of is None
        ),
        "dark-endpoints": sum(dark(part, spot) for part, spot in placed),
        "bandwidth": sum(short(plan, serving, way) for way in ("in", "out")),
        "unproven-facts": len(facts),
        "locality": sum(
            bool(part.wish.near and part.spec.links) and not is_near(part, spot)
            for part, spot in placed
        ),
        "cooling": cooling(plan),
        "moves": sum(
            plan.problem.today.get(part.id, spot.receptacle.id) != spot.receptacle.id
            for part, spot in placed
        ),
        "reserve": sum(ability(spot) for _, spot in placed),
    }


def dark(part: Part, spot: Spot) -> int:
    """Links that stay dark, as far as they were wished for."""
    widths = spot.lanes_of(part)
    lit = sum(width > 0 for width in widths)
    wanted = part.wish.endpoints
    return max(0, (len(widths) if wanted is None else min(wanted, len(widths))) - lit)


def rate(bus: str, generation: int, lanes: int) -> int:
    """Usable MB/s each way."""
    if not lanes or bus == "usb":
        return 0
    if bus == "pcie":
        return pcie.usable_mb_s(generation, lanes)
    return storage.usable_mb_s(f"{bus}-{generation}", lanes)


def own_link(part: Part, spot: Spot) -> int:
    """MB/s that the part's links carry together, each way."""
    return sum(trained_rate(part, link, spot) for link in part.spec.links)


def trained_rate(part: Part, link: Link, spot: Spot) -> int:
    """MB/s of one link as it trains; where nobody knows any rate, the slowest."""
    width = width_of(link, piece_at(link, spot.contacts, spot.form))
    return rate(link.bus, generation_of(part, link, spot) or 1, width)


def demand(part: Part, way: str, serving: set[str]) -> int:
    """MB/s that the part wants to move of its own."""
    sockets = [one for one in part.spec.receptacles if one.form != "cooling-mount"]
    if part.id in serving and part.spec.wiring != "passive" and sockets:
        return 0  # it moves what the parts on it move
    said = part.wish.demand or part.spec.demand
    if said is not None:
        return round(1000 * (said.in_gb_s if way == "in" else said.out_gb_s))
    return sum(
        rate(link.bus, generation, link.lanes)
        for link in part.spec.links
        if not link.to and (generation := link.generation or part.spec.generation) is not None
    )


def short(plan: Placed, serving: set[str], way: str) -> int:
    """MB/s of all demand that never gets to a processor, or never leaves one."""
    wanted = {name: demand(plan.parts[name], way, serving) for name in plan.spots}
    return sum(wanted.values()) - arrives(plan, wanted, ())


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
        return sum(own_link(plan.parts[name], plan.spots[name]) for name in port)
    machine_id, hub_id = node.split("/")
    machine = next(machine for machine in plan.problem.machines if machine.id == machine_id)
    hub: Hub = next(hub for hub in machine.board.hubs if hub.id == hub_id)
    return max(0, pcie.usable_mb_s(hub.generation, hub.lanes) - round(hub.background_gb_s * 1000))


def cooling(plan: Placed) -> int:
    """Gaps between neighbours where a fan draws no air, and gaps between two hot cards."""
    begins = {places[0]: name for name in plan.spots if (places := covers(plan, name))}
    found = 0
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


def ability(spot: Spot) -> int:
    """GB/s that a board's receptacle could give at its best; 0 on a part."""
    receptacle = spot.receptacle
    if not receptacle.on_board or (group := group_at(spot.machine, receptacle.spec.id)) is None:
        return 0
    given = [way.gives.get(receptacle.spec.id, ()) for way in group.arrangements]
    widest = max(sum(w for w in widths if isinstance(w, int)) for widths in given)
    return pcie.lane_mb_s(group.generation or 1, 1) * widest // 1000
