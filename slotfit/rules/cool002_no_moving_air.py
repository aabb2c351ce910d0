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
        if not needed:
            continue
        movers = movers_on(problem, seating, part, needed)
        for seat in seating.by_part.get(part.id, []):
            in_bay = seat.upstream.on_cable and part.spec.bay is not None
            receptacle = problem.receptacle[seat.receptacle]
            air = air_over(problem, receptacle, seat.upstream.machine, in_bay=in_bay)
            if air is not None and air < needed:
                tell = reason_in_bay if in_bay else reason
                yield Needs(tell(problem, part, seat, air), seat.key, movers)


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


def reason_in_bay(problem: Problem, part: Part, seat: Seat, air: float) -> No:
    """The same of a drive in a bay."""
    machine = problem.machine[seat.upstream.machine]
    facts = [Cited("part", part.id, part.spec, "airflow_lfm")]
    if machine.chassis:
        facts.append(Cited("chassis", machine.chassis.id, machine.chassis, "bay_airflow_lfm"))
    names = {"part": part.id, "receptacle": seat.receptacle, "machine": machine.id}
    return RULE.no("bays", names, tuple(facts), need=part.spec.airflow_lfm, air=air)


AIR = {"air": lambda lfm: "none" if lfm == 0 else f"{lfm:g}"}

RULE = PlanRule(
    id="COOL002",
    title="passive card without moving air",
    why="A passive card throttles or shuts down unless the chassis or an air mover blows "
    "through it.",
    source="accelerator card data sheet 683226 5.1, as quoted",
    says={
        "air": Wording(
            "{part} needs {need:g} LFM of air and {receptacle} has {air}, unless an air mover on "
            "it makes up for that",
            words=AIR,
        ),
        "bays": Wording(
            "{part} needs {need:g} LFM of air and the drive bays of {machine} have {air}",
            words=AIR,
        ),
    },
    state=state,
)
