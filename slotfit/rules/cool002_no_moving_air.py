"""COOL002: passive card without moving air."""

from collections.abc import Iterator

from slotfit.model.clause import Clause, Needs
from slotfit.model.problem import Item, Problem
from slotfit.model.reason import Cited, No, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule, air_over


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A passive card where too little air moves needs an air mover on it."""
    for item in problem.items:
        needed = item.part.needs_lfm
        if needed is None:
            continue
        movers = movers_on(problem, seating, item, needed)
        for seat in seating.by_item.get(item.id, []):
            air = air_over(problem, problem.site[seat.site], seat.offer.machine)
            if air is not None and air < needed:
                yield Needs(reason(problem, item, seat, air), seat.key, movers)


def movers_on(problem: Problem, seating: Seating, item: Item, needed: float) -> tuple[str, ...]:
    """Seats of air movers on this card that blow hard enough."""
    return tuple(
        seat.key
        for seat in seating.seats
        if problem.site[seat.site].owner == item.id
        and (problem.item[seat.item].part.gives_airflow_lfm or 0) >= needed
    )


def reason(problem: Problem, item: Item, seat: Seat, air: float) -> No:
    """How much it needs, and how much there is."""
    rig, receptacle = problem.rig[seat.offer.machine], problem.site[seat.site].receptacle
    facts = [
        Cited("part", item.id, item.part, "airflow_lfm"),
        Cited("receptacle", seat.site, receptacle, "airflow_lfm"),
        Cited("machine", rig.id, rig.machine, "airflow_lfm"),
    ]
    if rig.chassis:
        facts.append(Cited("chassis", rig.chassis.id, rig.chassis, "airflow_lfm"))
    names = {"part": item.id, "receptacle": seat.site}
    return RULE.no("air", names, tuple(facts), need=item.part.airflow_lfm, air=air)


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
