"""What plans that are equally good have in common, and in what they differ."""

from __future__ import annotations

from collections import Counter

from slotfit.explain.told import EqualPlans, Goes, Way
from slotfit.model.placed import Placed
from slotfit.natural_order import natural
from slotfit.solve.alternatives import equal_layouts, kinds_of
from slotfit.solve.clock import Clock


def equal_plans(placed: Placed, at_most: int, clock: Clock) -> EqualPlans | None:
    """Up to `at_most` plans as good as the one found, itself among them; None without one."""
    plan = placed.answer.plan
    if plan is None:
        return None
    layouts = equal_layouts(placed.problem, placed.seating, placed.clauses, plan, at_most, clock)
    kind_of = kinds_of(placed.problem, placed.seating)
    goes: dict[str, Counter[tuple[str, ...]]] = {kind: Counter() for kind in kind_of.values()}
    for layout in layouts.found:
        for kind, counted in goes.items():
            places = sorted((place for item, place in layout if item == kind), key=natural)
            counted[tuple(places)] += 1
    told = [Goes(members(kind, kind_of), ways_of(goes[kind])) for kind in sorted(goes, key=natural)]
    return EqualPlans(
        count=len(layouts.found),
        complete=layouts.complete,
        same=tuple(one for one in told if len(one.ways) == 1 and one.ways[0].places),
        differs=tuple(one for one in told if len(one.ways) > 1),
    )


def members(kind: str, kind_of: dict[str, str]) -> tuple[str, ...]:
    """The parts of a kind."""
    return tuple(sorted((item for item, one in kind_of.items() if one == kind), key=natural))


def ways_of(counted: Counter[tuple[str, ...]]) -> tuple[Way, ...]:
    """The places, those of most plans first."""
    ranked = sorted(counted.items(), key=lambda pair: (-pair[1], [natural(p) for p in pair[0]]))
    return tuple(Way(places, number) for places, number in ranked)
