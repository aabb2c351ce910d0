"""What stays free, and what flows through the shared links."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from slotfit.answers.place.answer import FreeView, HopView, PowerView
from slotfit.answers.place.layout import ReceptacleView
from slotfit.engine.costs import watts
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
from slotfit.model.problem import Problem, Rig


def power_of(problem: Problem, plan: Plan) -> Iterator[PowerView]:
    """One budget a machine."""
    for rig in problem.rigs:
        items = [problem.item[s.item] for s in plan.seats if s.offer.machine == rig.id]
        supply = rig.power_supply
        share = rig.machine.supply_limit_percent / 100
        yield PowerView(
            machine=rig.id,
            supply_w=supply.watts if supply else None,
            limit_w=supply.watts * share if supply else None,
            base_w=rig.machine.base_w,
            parts_w=round(sum(watts(item) for item in items), 3),
            unknown=tuple(
                item.id
                for item in items
                if item.companion_of is None
                and item.part.part_class not in ("cable", "air-mover", "adapter", "riser")
                and (item.part.power is None or item.part.power.slot_w is None)
            ),
            plugs=tuple(
                plugs(rig, Counter(p for i in items if i.part.power for p in i.part.power.aux))
            ),
        )


def plugs(rig: Rig, used: Counter[str]) -> Iterator[tuple[str, int, int | None]]:
    """Plug type, used, available; None if nobody has said what the supply has."""
    have = rig.power_supply.plugs if rig.power_supply else None
    for plug in sorted({*used, *(have or ())}):
        yield plug, used[plug], have.get(plug, 0) if have is not None else None


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
