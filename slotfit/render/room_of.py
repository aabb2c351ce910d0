"""What stays free, and what flows through the shared links."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.flow import capacity, demand_of, hub_capacity, is_hub, met, paths, serving
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem, Site
from slotfit.model.seat import Seating
from slotfit.render.view import FreeView, HopView
from slotfit.render.words import link_text, segments_text
from slotfit.slot_row import positions


def free_of(problem: Problem, plan: Plan) -> Iterator[FreeView]:
    """Board receptacles without a part, and sockets of seated parts without one."""
    taken = {seat.site for seat in plan.seats}
    covered = {place: s.item for s in plan.seats for place in positions(problem, s)}
    seated = {seat.item for seat in plan.seats}
    for site in problem.sites:
        if site.id in taken or not (site.on_board or site.owner in seated):
            continue
        if site.receptacle.form == "cooling-mount":
            continue
        row = site.row
        cover = covered.get((*row, site.receptacle.position)) if row else None
        yield free_view(problem, plan, site, cover)


def free_view(problem: Problem, plan: Plan, site: Site, cover: str | None) -> FreeView:
    """One empty receptacle."""
    machine = site.owner if site.on_board else machine_of(plan, site.owner)
    gets, state, why = what_it_gets(problem, plan, site) if site.on_board else ("", "free", "")
    if cover:
        state, why = "covered", f"{cover} covers it"
    return FreeView(
        site=site.id,
        label=site.receptacle.label or site.receptacle.id,
        machine=machine,
        form=site.receptacle.form,
        gets=gets,
        state=state,
        why=why,
    )


def machine_of(plan: Plan, item: str) -> str:
    """The machine that a seated part is in."""
    return next(seat.offer.machine for seat in plan.seats if seat.item == item)


def what_it_gets(problem: Problem, plan: Plan, site: Site) -> tuple[str, str, str]:
    """Its lanes under the chosen arrangement, its state, and why."""
    rig = problem.rig[site.owner]
    group = rig.group_of.get(site.receptacle.id)
    if group is None:
        return "no lanes", "free", "power and room only"
    processor = rig.processor_of(group.from_)
    if processor not in rig.fitted:
        return "no lanes", "dead", f"{processor} is not fitted"
    chosen = plan.arrangements.get(f"{rig.id}/{group.id}")
    way = next((way for way in group.arrangements if way.id == chosen), group.arrangements[0])
    given = way.gives.get(site.receptacle.id, ())
    if not given:
        return "no lanes", "dark", f"{group.id} gives its lanes elsewhere"
    speed = link_text("pcie", group.generation, 1).removesuffix(" x1")
    return f"{speed} {segments_text(given)}", "free", ""


def hops_of(problem: Problem, seating: Seating, plan: Plan) -> Iterator[HopView]:
    """Every shared link that something flows through, with what it loses."""
    serves = serving(problem, seating.by_site)
    flows: dict[tuple[str, ...], list[int]] = {}
    seats = {seat.item: seat for seat in plan.seats}
    for seat in plan.seats:
        item = problem.item[seat.item]
        through = met(demand_of(item, seat, item.id in serves), seat)
        known = flows.setdefault(seat.offer.hops, [0, 0])
        known[0] += through[0]
        known[1] += through[1]
    for path in paths(list(plan.seats)):
        node = path[0]
        arriving = flows.get(path, [0, 0])
        room = hub_capacity(problem, node) if is_hub(node) else capacity(seats[node])
        above = flows.setdefault(path[1:], [0, 0])
        above[0] += min(arriving[0], room)
        above[1] += min(arriving[1], room)
        machine = node.partition("/")[0] if is_hub(node) else seats[node].offer.machine
        yield HopView(
            name=node.partition("/")[2] or node,
            machine=machine,
            capacity_mb_s=room,
            in_mb_s=arriving[0],
            out_mb_s=arriving[1],
            short_mb_s=sum(max(0, flow - room) for flow in arriving),
        )
