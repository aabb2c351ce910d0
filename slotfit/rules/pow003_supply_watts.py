"""POW003: more power than the supply gives."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem, Rig
from slotfit.model.seat import Seating
from slotfit.model.units import all_milliwatts
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Base load and all parts within the supply's continuous watts."""
    for rig in problem.rigs:
        supply = rig.power_supply
        if supply is None:
            continue
        draws = [
            (seat.key, all_milliwatts(problem.item[seat.item].part.power))
            for seat in seating.seats
            if seat.offer.machine == rig.id
        ]
        yield AtMost(
            Ground(RULE.id, reason(rig), written(supply.span("watts"), rig.machine.span("base_w"))),
            tuple(draw for draw in draws if draw[1]),
            left_mw(rig),
            "mW",
        )


def left_mw(rig: Rig) -> int:
    """What the supply has left for parts, in milliwatts."""
    watts = rig.power_supply.watts if rig.power_supply else 0.0
    share = watts * rig.machine.supply_limit_percent / 100
    return round((share - (rig.machine.base_w or 0.0)) * 1000)


def reason(rig: Rig) -> str:
    """The budget with the load it is based on."""
    base = rig.machine.base_w
    return (
        f"the supply of {rig.id} has {left_mw(rig) / 1000:g} W left for parts "
        f"({rig.power_supply.watts if rig.power_supply else 0:g} W at "
        f"{rig.machine.supply_limit_percent:g} %, less "
        f"{'a base load nobody has said, taken as 0' if base is None else f'{base:g}'} W)"
    )


RULE = PlanRule(
    id="POW003",
    title="more power than the supply gives",
    why="The supply must carry everything at once, for as long as it lasts.",
    source="power supply label; continuous watts",
    state=state,
)
