"""Each machine's power budget in the finished plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from slotfit.costs import watts
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem, Rig
from slotfit.render.view import PowerView


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
