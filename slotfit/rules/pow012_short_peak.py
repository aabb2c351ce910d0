"""POW012: short peak beyond the supply."""

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Machine, Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.model.watts import Moment, short_w
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Where it is said what the supply bears for a moment: no more than that in this moment."""
    for machine in problem.machines:
        load = problem.load[machine.id]
        here = [seat for seat in seating.seats if seat.upstream.machine == machine.id]
        for moment, fact in moments(machine):
            left = round((short_w(machine, moment) or 0) * 1000) - load.base_mw
            draws = [(seat.key, load.part_mw(problem.part[seat.part], moment)) for seat in here]
            terms = tuple(draw for draw in draws if draw[1])
            told = {"supply": fact.thing, "left": left / 1000, "moment": moment}
            facts = (fact, Cited("machine", machine.id, machine.entry, "staggered_start"))
            reason = RULE.no(moment, {"machine": machine.id}, facts, None, **told)
            yield AtMost(reason, terms, left, "mW")


def moments(machine: Machine) -> Iterator[tuple[Moment, Cited]]:
    """Those for which the supply has a figure; disks that start one by one make no peak."""
    supply = machine.power_supply
    if supply is None:
        return
    if short_w(machine, "start") is not None and machine.entry.staggered_start is False:
        yield "start", Cited("supply", supply.id, supply, "start_w")
    if short_w(machine, "peak") is not None:
        yield "peak", Cited("supply", supply.id, supply, "peak_w")


RULE = PlanRule(
    id="POW012",
    title="short peak beyond the supply",
    why="What a supply gives for seconds or bears for a millisecond is more than its label and "
    "still has an end; beyond it the machine does not start, or goes off at its hardest work.",
    source="power supply data sheet; disk data sheets, start current; the part's own `peak_w`",
    says={
        "start": Wording(
            "while all disks start at once {supply} has {left:g} W left for the parts of {machine}"
        ),
        "peak": Wording(
            "for a millisecond {supply} has {left:g} W left for the parts of {machine}"
        ),
    },
    state=state,
)
