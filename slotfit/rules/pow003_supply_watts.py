"""POW003: more power than the supply gives."""

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause
from slotfit.model.machine import PowerSupply
from slotfit.model.problem import Machine, Problem
from slotfit.model.reason import Cited, No, Wording
from slotfit.model.seat import Seating
from slotfit.model.units import all_milliwatts
from slotfit.rule import Gap, PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Base load and all parts within the supply's continuous watts."""
    for machine in problem.machines:
        supply = machine.power_supply
        if supply is None:
            continue
        draws = [
            (seat.key, all_milliwatts(problem.part[seat.part].spec.power))
            for seat in seating.seats
            if seat.upstream.machine == machine.id
        ]
        left = left_mw(machine, supply)
        terms = tuple(draw for draw in draws if draw[1])
        yield AtMost(budget(machine, supply, left), terms, left, "mW")


def left_mw(machine: Machine, supply: PowerSupply) -> int:
    """What the supply has left for parts, in milliwatts."""
    share = supply.watts * machine.entry.supply_limit_percent / 100
    return round((share - (machine.entry.base_w or 0.0)) * 1000)


def budget(machine: Machine, supply: PowerSupply, left: int) -> No:
    """What is left, and the load it is based on."""
    entry = machine.entry
    facts = (
        Cited("supply", supply.id, supply, "watts"),
        Cited("machine", machine.id, entry, "base_w"),
    )
    detail = {
        "watts": supply.watts,
        "percent": entry.supply_limit_percent,
        "base": entry.base_w,
    }
    return RULE.no(
        "budget", {"machine": machine.id}, facts, detail, supply=supply.id, left=left / 1000
    )


RULE = PlanRule(
    id="POW003",
    title="more power than the supply gives",
    why="The supply carries everything at once, for as long as it lasts.",
    source="power supply label, continuous watts; the base load from the build file",
    says={
        "budget": Wording(
            "{supply} has {left:g} W left for the parts of {machine}",
            "{watts:g} W{percent}, less {base} W",
            words={
                "percent": lambda share: "" if share == 100 else f" at {share:g} %",
                "base": lambda load: (
                    "a base load nobody has said, taken as 0"
                    if load is None
                    else f"a base load of {load:g}"
                ),
            },
        )
    },
    gaps=(
        Gap(
            "machine",
            "power_supply",
            lambda machine: machine.power_supply is None,
            "no power supply is named, so nobody adds up watts and counts plugs",
            "the label on its side",
        ),
    ),
    state=state,
)
