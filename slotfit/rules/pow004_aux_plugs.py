"""POW004: more plugs than the supply has."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """No more plugs of a type than the supply has."""
    for rig in problem.rigs:
        supply = rig.power_supply
        if supply is None:
            continue
        here = [seat for seat in seating.seats if seat.offer.machine == rig.id]
        types = {p for s in here if (w := problem.item[s.item].part.power) for p in w.aux}
        for plug in sorted(types):
            needs = [
                (seat.key, power.aux.count(plug))
                for seat in here
                if (power := problem.item[seat.item].part.power) and plug in power.aux
            ]
            yield AtMost(
                Ground(
                    RULE.id,
                    f"the supply of {rig.id} has {supply.plugs.get(plug, 0)} {plug} plugs",
                    written(supply.span("plugs")),
                ),
                tuple(needs),
                supply.plugs.get(plug, 0),
                f"{plug} plugs",
            )


RULE = PlanRule(
    id="POW004",
    title="more plugs than the supply has",
    why="A card with its own plugs needs them all, each on a cable of this very supply.",
    source="facts B2: plug types do not interchange, as quoted",
    state=state,
)
