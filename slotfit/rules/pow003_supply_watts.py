"""POW003: more power than the supply gives."""

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause
from slotfit.model.machine import PowerSupply
from slotfit.model.problem import Machine, Problem
from slotfit.model.reason import Cited, No, Wording
from slotfit.model.seat import Seating
from slotfit.model.watts import Load, continuous_w, is_low_line, limit_w
from slotfit.rule import Gap, PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Base load and all parts within the supply's continuous watts."""
    for machine in problem.machines:
        supply, limit = machine.power_supply, limit_w(machine)
        if supply is None or limit is None:
            continue
        load = problem.load[machine.id]
        draws = [
            (seat.key, load.part_mw(problem.part[seat.part]))
            for seat in seating.seats
            if seat.upstream.machine == machine.id
        ]
        left = round(limit * 1000) - load.base_mw
        terms = tuple(draw for draw in draws if draw[1])
        yield AtMost(budget(machine, supply, load, left), terms, left, "mW")


def budget(machine: Machine, supply: PowerSupply, load: Load, left: int) -> No:
    """What is left, and the load it is based on."""
    entry = machine.entry
    is_low = is_low_line(machine) and supply.low_line_w is not None
    is_measured = entry.measured is not None and entry.measured.load_w is not None
    facts = (
        Cited("supply", supply.id, supply, "low_line_w" if is_low else "watts"),
        Cited("machine", machine.id, entry, "measured" if is_measured else "base_w"),
    )
    detail = {
        "watts": continuous_w(machine),
        "percent": entry.supply_limit_percent,
        "base": load.base_mw / 1000 if load.is_known else None,
        "measured": is_measured,
    }
    return RULE.no(
        "budget", {"machine": machine.id}, facts, detail, supply=supply.id, left=left / 1000
    )


RULE = PlanRule(
    id="POW003",
    title="more power than the supply gives",
    why="The supply carries everything at once, for as long as it lasts.",
    source="power supply label, continuous watts; the base load from the build file, by hand or by "
    "a meter at the wall, which shows a little more than the supply then gives",
    says={
        "budget": Wording(
            "{supply} has {left:g} W left for the parts of {machine}",
            "{watts:g} W{percent}, less {base} W{measured}",
            words={
                "measured": lambda was: " that a meter at the wall leaves for it" if was else "",
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
