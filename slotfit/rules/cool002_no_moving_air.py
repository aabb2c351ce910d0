"""COOL002: passive card without moving air."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import Clause, Ground, Needs
from slotfit.model.part import Part
from slotfit.model.problem import Item, Problem
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule, air_over, written
from slotfit.standards.power import STILL_AIR_W


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A passive card where too little air moves needs an air mover on it."""
    for item in problem.items:
        needed = needed_lfm(item.part)
        if needed is None:
            continue
        movers = movers_on(problem, seating, item, needed)
        for seat in seating.by_item.get(item.id, []):
            air = air_over(problem, problem.site[seat.site], seat.offer.machine)
            if air is not None and air < needed:
                yield Needs(ground(problem, item, seat, air), seat.key, movers)


def needed_lfm(part: Part) -> float | None:
    """Air a passive part needs; where it draws much and nobody has said: some, written as 1."""
    if part.cooling != "passive":
        return None
    if part.airflow_lfm is None:
        return 1 if part.draw_w > STILL_AIR_W else None
    return part.airflow_lfm


def movers_on(problem: Problem, seating: Seating, item: Item, needed: float) -> tuple[str, ...]:
    """Seats of air movers on this card that blow hard enough."""
    return tuple(
        seat.key
        for seat in seating.seats
        if problem.site[seat.site].owner == item.id
        and (problem.item[seat.item].part.gives_airflow_lfm or 0) >= needed
    )


def ground(problem: Problem, item: Item, seat: Seat, air: float) -> Ground:
    """How much it needs, and how much there is."""
    rig, said = problem.rig[seat.offer.machine], item.part.airflow_lfm
    need = "moving air" if said is None else f"{said:g} LFM of air"
    return Ground(
        RULE.id,
        f"{item.id} needs {need} and {seat.site} has "
        + ("none" if air == 0 else f"{air:g}")
        + ", unless an air mover on it makes up for that",
        written(
            item.part.span("airflow_lfm"),
            problem.site[seat.site].receptacle.span("airflow_lfm"),
            rig.machine.span("airflow_lfm"),
            rig.chassis.span("airflow_lfm") if rig.chassis else None,
        ),
    )


RULE = PlanRule(
    id="COOL002",
    title="passive card without moving air",
    why="A passive card throttles or shuts down unless the chassis or an air mover blows "
    "through it.",
    source="accelerator card data sheet 683226 5.1, as quoted",
    state=state,
)
