"""What stays free, and what flows through the shared links."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from slotfit.hardware.flow import (
    capacity,
    demand_of,
    hub_capacity,
    is_hub,
    met,
    paths,
    ports_of,
    serving,
)
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem
from slotfit.render.layout_view import ReceptacleView
from slotfit.render.view import FreeView, HopView


def free_of(receptacles: Iterable[ReceptacleView]) -> Iterator[FreeView]:
    """Board receptacles without a part, and sockets of seated parts without one."""
    for one in receptacles:
        if one.item is None and one.form != "cooling-mount":
            gets = one.gets if one.on_board or one.state == "dark" else ""
            yield FreeView(one.site, one.label, one.machine, one.form, gets, one.state, one.why)


def hops_of(problem: Problem, plan: Plan) -> Iterator[HopView]:
    """Every shared link that something flows through, with what it loses."""
    serves = serving(problem)
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
        ports = (seats[one] for one in ports_of(problem, node) if one in seats)
        room = hub_capacity(problem, node) if is_hub(node) else sum(map(capacity, ports))
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
