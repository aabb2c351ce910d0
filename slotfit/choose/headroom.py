"""What could still be added to a plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from slotfit import api
from slotfit.choose.probes import Probe
from slotfit.model.build import BuildPart
from slotfit.model.part import Part
from slotfit.model.plan import Plan, Status
from slotfit.model.problem import Item, Problem, Site
from slotfit.model.seat import Seat, Trained
from slotfit.render.headroom_text import RoomView
from slotfit.render.words import link_text


def with_parts(problem: Problem, parts: Sequence[tuple[str, Part, BuildPart]]) -> Problem:
    """The build with more parts in it."""
    items = [Item(name, part, wish) for name, part, wish in parts]
    sites = [
        Site(f"{item.id}/{receptacle.id}", item.id, on_board=False, receptacle=receptacle)
        for item in items
        for receptacle in item.part.receptacles
    ]
    return replace(problem, items=(*problem.items, *items), sites=(*problem.sites, *sites))


def keeping(problem: Problem, plan: Plan) -> Problem:
    """
    The build with the plan as today's layout.

    Moving a part is what an addition costs; no part may get fewer lanes or endpoints than now.
    """
    seats = {seat.item: seat for seat in plan.seats}
    items = tuple(as_good(item, seats[item.id]) for item in problem.items if item.id in seats)
    sites = tuple(site for site in problem.sites if site.on_board or site.owner in seats)
    return replace(
        problem,
        items=items,
        sites=sites,
        today={item: seat.site for item, seat in seats.items()},
        preferences=("moves", "unproven-facts"),
    )


def as_good(item: Item, seat: Seat) -> Item:
    """The item, required, and required to train as well as it does now."""
    alive = [link for link in seat.links if link.lanes]
    speeds = [link.generation for link in alive if link.generation and link.bus == "pcie"]
    update: dict[str, object] = {"required": True}
    if alive:
        update |= {
            "min_lanes": min(link.lanes for link in alive),
            "endpoints": len(alive),
            "min_generation": min(speeds, default=None),
        }
    return replace(item, wish=item.wish.model_copy(update=update))


def added(probe: Probe, count: int) -> list[tuple[str, Part, BuildPart]]:
    """`count` of the probe's part, required, at full speed if the probe asks for that."""
    made: list[tuple[str, Part, BuildPart]] = []
    for first, (part, each) in enumerate(probe.parts):
        for number in range(1, count * each + 1):
            name = f"new-{part.id}-{number}"
            wish = probe.wish if first == 0 else {}
            made.append((name, part, BuildPart(id=name, part=part.id, **wish)))
    return made


Tell = Callable[[str, int, int], None]


def rooms(
    problem: Problem, plan: Plan, probes: Sequence[Probe], seconds: float, tell: Tell
) -> Iterator[RoomView]:
    """Each addition on its own, as many of it as fit."""
    base = keeping(problem, plan)
    for number, probe in enumerate(probes):
        tell(probe.name, number, len(probes))
        yield room_for(base, plan, probe, seconds)


def room_for(base: Problem, plan: Plan, probe: Probe, seconds: float) -> RoomView:
    """As many of one addition as fit at once, found by doubling and halving."""
    fitting: api.Placed | None = None
    low, high, proven = 0, None, True
    while high is None or high - low > 1:
        count = min(low * 2 or 1, probe.most) if high is None else (low + high) // 2
        placed = api.place(with_parts(base, added(probe, count)), seconds)
        status = placed.answer.status
        proven = proven and status in (Status.PROVEN, Status.IMPOSSIBLE)
        if placed.answer.plan:
            low, fitting = count, placed
            high = count + 1 if count == probe.most else high
        else:
            high = count
    return describe(base, plan, probe, low, fitting, proven=proven)


def describe(
    base: Problem,
    plan: Plan,
    probe: Probe,
    count: int,
    placed: api.Placed | None,
    *,
    proven: bool,
) -> RoomView:
    """The best that was found, told against the plan."""
    if placed is None or placed.answer.plan is None:
        return RoomView(probe.name, probe.most, 0, (), (), (), proven, ())
    now = placed.answer.plan
    new = [seat for seat in now.seats if seat.item not in base.item]
    known = {fact.id for fact in plan.facts}
    return RoomView(
        name=probe.name,
        asked=probe.most,
        fits=count,
        seats=tuple((s.item, s.site, link_of(s.links)) for s in new),
        moves=tuple(
            (s.item, base.today[s.item], s.site)
            for s in now.seats
            if s.item in base.today and base.today[s.item] != s.site
        ),
        settings=tuple(
            group for group, way in now.arrangements.items() if plan.arrangements.get(group) != way
        ),
        proven=proven,
        facts=tuple(fact.statement for fact in now.facts if fact.id not in known),
    )


def link_of(links: Sequence[Trained]) -> str:
    """The first link in short."""
    for link in links:
        return link_text(link.bus, link.generation, link.lanes)
    return "power only"
