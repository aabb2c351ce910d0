"""NEST004: plugs of one wide port on two controllers."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import Clause, Ground, Needs
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A plug that joins another hangs on the same controller as that one."""
    for item in problem.items:
        if item.joins is None:
            continue
        others = seating.by_item.get(item.joins, [])
        ground = Ground(
            RULE.id,
            f"{item.id} and {item.joins} make one wide port and lead to one controller",
            written(item.part.span()),
        )
        for seat in seating.by_item.get(item.id, []):
            # The nearest hop is the controller; its own seat is the same for both.
            same = tuple(one.key for one in others if one.offer.hops[:1] == seat.offer.hops[:1])
            yield Needs(ground, seat.key, same)


RULE = PlanRule(
    id="NEST004",
    title="plugs of one wide port on two controllers",
    why="Lanes join to a wide port only between the same two devices; what leads elsewhere is a "
    "port of its own.",
    source="a SAS wide port's lanes share one address, from memory",
    state=state,
)
