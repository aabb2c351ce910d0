"""COOL002: passive card without moving air."""

from collections.abc import Iterator

from slotfit.model.clause import Clause, Needs
from slotfit.model.problem import Part, Problem
from slotfit.model.reason import Cited, No, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule, air_over


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A passive card where too little air moves needs an air mover on it."""
    for part in problem.parts:
        needed = part.spec.needs_lfm
        if needed is None:
            continue
        movers = movers_on(problem, seating, part, needed)
        for seat in seating.by_part.get(part.id, []):
            air = air_over(problem, problem.receptacle[seat.receptacle], seat.upstream.machine)
            if air is not None and air < needed:
                yield Needs(reason(problem, part, seat, air), seat.key, movers)


def movers_on(problem: Problem, seating: Seating, part: Part, needed: float) -> tuple[str, ...]:
    """Seats of air movers on this card that blow hard enough, or may: that is a seat's doubt."""
    return tuple(
        seat.key
        for seat in seating.seats
        if problem.receptacle[seat.receptacle].owner == part.id
        and problem.part[seat.part].spec.plug.form == "cooling-mount"
        and ((gives := problem.part[seat.part].spec.gives_airflow_lfm) is None or gives >= needed)
    )


def reason(problem: Problem, part: Part, seat: Seat, air: float) -> No:
    """How much it needs, and how much there is."""
    machine, spec = problem.machine[seat.upstream.machine], problem.receptacle[seat.receptacle].spec
    facts = [
        Cited("part", part.id, part.spec, "airflow_lfm"),
        Cited("receptacle", seat.receptacle, spec, "airflow_lfm"),
        Cited("machine", machine.id, machine.entry, "airflow_lfm"),
    ]
    if machine.chassis:
        facts.append(Cited("chassis", machine.chassis.id, machine.chassis, "airflow_lfm"))
    names = {"part": part.id, "receptacle": seat.receptacle}
    return RULE.no("air", names, tuple(facts), need=part.spec.airflow_lfm, air=air)


RULE = PlanRule(
    id="COOL002",
    title="passive card without moving air",
    why="A passive card throttles or shuts down unless the chassis or an air mover blows "
    "through it.",
    source="accelerator card data sheet 683226 5.1, as quoted",
    says={
        "air": Wording(
            "{part} needs {need} and {receptacle} has {air}, unless an air mover on it makes up "
            "for that",
            words={
                "need": lambda lfm: "moving air" if lfm is None else f"{lfm:g} LFM of air",
                "air": lambda lfm: "none" if lfm == 0 else f"{lfm:g}",
            },
        )
    },
    state=state,
)
