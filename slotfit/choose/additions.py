"""A build with more parts in it, beside a plan that is to stay as good as it is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from slotfit.choose.left_out import without
from slotfit.choose.probes import Probe
from slotfit.load.items import items_of, sites_on
from slotfit.model.build_part import BuildPart
from slotfit.model.part import Part
from slotfit.model.plan import Plan
from slotfit.model.problem import Item, Problem
from slotfit.model.seat import Seat
from slotfit.model.words import Stage

STILL_COUNT: tuple[Stage, ...] = ("bandwidth", "unproven-facts", "locality")
"""Preferences that an addition should harm no more than it must, once it moves the fewest parts."""

Entry = tuple[BuildPart, Part]


def with_parts(problem: Problem, entries: Sequence[Entry]) -> Problem:
    """The build with more parts in it; further plugs of a part are items of their own."""
    items = [item for wish, part in entries for item in items_of(wish, part)]
    sites = [site for item in items for site in sites_on(item)]
    return replace(problem, items=(*problem.items, *items), sites=(*problem.sites, *sites))


def added(problem: Problem, probe: Probe, count: int) -> list[Entry]:
    """So many of an addition, all required; the probe's wishes go to its first part."""
    numbers: Counter[str] = Counter()
    shared = shared_sites(problem) if probe.own_lanes else ()
    made: list[Entry] = []
    plugs = {part.plug.form for part, _ in probe.parts[1:]}
    sockets: list[str] = []
    for place, (part, each) in enumerate(probe.parts):
        for _ in range(count * each):
            name = fresh(problem, part, numbers)
            wishes: dict[str, object] = {}
            if place == 0:
                wishes = {**probe.wish, "ban": shared}
                sockets += [f"{name}/{one.id}" for one in part.receptacles if one.form in plugs]
            elif probe.inside:
                wishes = {"pin": sockets.pop(0)}
            made.append((BuildPart.model_validate({"id": name, "part": part.id, **wishes}), part))
    return made


def fresh(problem: Problem, part: Part, numbers: Counter[str]) -> str:
    """A name that no item has: `new-nvme-2280-gen4-1`."""
    stem = f"new-{part.id[:60]}"
    while True:
        numbers[stem] += 1
        name = f"{stem}-{numbers[stem]}"
        if name not in problem.item:
            return name


def shared_sites(problem: Problem) -> tuple[str, ...]:
    """Board receptacles whose lanes come from a chipset or an on-board switch."""
    return tuple(
        site.id
        for site in problem.sites
        if site.on_board
        and (group := problem.rig[site.owner].group_of.get(site.receptacle.id))
        and group.from_ in problem.rig[site.owner].hubs
    )


def keeping(problem: Problem, plan: Plan) -> Problem:
    """
    The build with the plan as today's layout, and what the plan leaves out left out.

    Moving a part is what an addition costs; no part may get fewer lanes or endpoints than now.
    """
    seats = {seat.item: seat for seat in plan.seats}
    kept = without(problem, plan.left_out)
    still = tuple(stage for stage in problem.preferences if stage in STILL_COUNT)
    return replace(
        kept,
        items=tuple(as_good(item, seats[item.id]) for item in kept.items),
        today={item: seat.site for item, seat in seats.items()},
        preferences=("moves", *still),
    )


def as_good(item: Item, seat: Seat) -> Item:
    """The item, required, and required to train as well as it does now."""
    alive = [link for link in seat.links if link.lanes]
    speeds = [link.generation for link in alive if link.generation and link.bus == "pcie"]
    update: dict[str, object] = {"required": True}
    if alive:
        update |= {
            "min_lanes": min(link.lanes for link in alive),
            "endpoints": seat.alive,
            "min_generation": min(speeds, default=None),
        }
    return item._replace(wish=item.wish.model_copy(update=update))


def seats_of_new(base: Problem, plan: Plan) -> Iterator[Seat]:
    """The seats of what was added."""
    return (seat for seat in plan.seats if seat.item not in base.item)
