"""POW003: more power than the supply gives."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.machine import PowerSupply
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
        where = written(supply.span("watts"), rig.machine.span("base_w"))
        left = left_mw(rig, supply)
        yield AtMost(
            Ground(RULE.id, reason(rig, supply, left), where),
            tuple(draw for draw in draws if draw[1]),
            left,
            "mW",
        )


def left_mw(rig: Rig, supply: PowerSupply) -> int:
    """What the supply has left for parts, in milliwatts."""
    share = supply.watts * rig.machine.supply_limit_percent / 100
    return round((share - (rig.machine.base_w or 0.0)) * 1000)


def reason(rig: Rig, supply: PowerSupply, left: int) -> str:
    """The budget with the load it is based on."""
    base = rig.machine.base_w
    less = "a base load nobody has said, taken as 0" if base is None else f"a base load of {base:g}"
    percent = rig.machine.supply_limit_percent
    share = "" if percent == 100 else f" at {percent:g} %"
    return (
        f"{supply.id} has {left / 1000:g} W left for the parts of {rig.id}: "
        f"{supply.watts:g} W{share}, less {less} W"
    )


RULE = PlanRule(
    id="POW003",
    title="more power than the supply gives",
    why="The supply carries everything at once, for as long as it lasts.",
    source="power supply label, continuous watts; the base load from the build file",
    state=state,
)
