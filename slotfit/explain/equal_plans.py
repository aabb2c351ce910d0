"""What plans that are equally good have in common, and in what they differ."""

from __future__ import annotations

from collections import Counter

from slotfit.explain.told import EqualPlans
from slotfit.model.placed import Placed
from slotfit.natural_order import natural
from slotfit.solve.alternatives import equal_layouts
from slotfit.solve.clock import Clock


def equal_plans(placed: Placed, at_most: int, clock: Clock) -> EqualPlans | None:
    """Up to `at_most` plans as good as the one found, itself among them; None without one."""
    plan = placed.answer.plan
    if plan is None:
        return None
    layouts = equal_layouts(placed.problem, placed.seating, placed.clauses, plan, at_most, clock)
    goes: dict[str, Counter[str]] = {item.id: Counter() for item in placed.problem.items}
    for layout in layouts.found:
        places = dict(layout)
        for item, counted in goes.items():
            counted[places.get(item, "")] += 1
    in_order = sorted(goes.items(), key=lambda pair: natural(pair[0]))
    same = [(item, next(iter(counted))) for item, counted in in_order if len(counted) == 1]
    return EqualPlans(
        count=len(layouts.found),
        complete=layouts.complete,
        same=tuple((item, place) for item, place in same if place),
        differs=tuple(
            (item, tuple(sorted(counted.items(), key=lambda pair: natural(pair[0]))))
            for item, counted in in_order
            if len(counted) > 1
        ),
    )
