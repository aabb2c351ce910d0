"""POW014: more power than a smaller rail gives."""

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause
from slotfit.model.part import PartSpec
from slotfit.model.problem import Machine, Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.model.watts import needed
from slotfit.model.words import SupplyRail
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """For every rail of which the supply's file says how much: no more than that."""
    for machine in problem.machines:
        here = [seat for seat in seating.seats if seat.upstream.machine == machine.id]
        for fact, rail, left in limits(machine):
            draws = [(seat.key, rail_mw(problem.part[seat.part].spec, rail)) for seat in here]
            terms = tuple(draw for draw in draws if draw[1])
            names = {"machine": machine.id, "supply": fact.thing}
            reason = RULE.no("rail", names, (fact,), None, rail=rail, watts=left / 1000)
            if terms:
                yield AtMost(reason, terms, left, "mW")


def limits(machine: Machine) -> Iterator[tuple[Cited, SupplyRail, int]]:
    """Each rail with a figure, and its milliwatts."""
    supply = machine.power_supply
    if supply is None or supply.rails_w is None:
        return
    for rail, watts in supply.rails_w.items():
        fact = Cited("supply", supply.id, supply, "rails_w")
        yield fact, rail, round(watts * needed(machine) * 1000)


def rail_mw(spec: PartSpec, rail: SupplyRail) -> int:
    """What a part takes from one rail, or from both together, as far as anyone has said."""
    said = (spec.power.rails_w or {}) if spec.power else {}
    return sum(round(watts * 1000) for name, watts in said.items() if name in rail.split("+"))


RULE = PlanRule(
    id="POW014",
    title="more power than a smaller rail gives",
    why="Disks and flash drives take a part of their watts at 5 V, of which a supply gives a "
    "tenth of what it gives at 12 V. What the board itself takes there is not counted.",
    source="power supply label, 5 V and 3.3 V",
    says={
        "rail": Wording(
            "{supply} gives {watts:g} W at {rail} V to the parts of {machine}",
            words={"rail": lambda rail: rail.replace("+", " and ")},
        )
    },
    state=state,
)
