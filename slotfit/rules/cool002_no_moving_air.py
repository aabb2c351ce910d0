"""COOL002: passive card without moving air."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import Clause, Ground, Needs
from slotfit.model.problem import Item, Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, air_over, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A passive card where too little air moves needs an air mover on it."""
    for item in problem.items:
        needed = item.part.airflow_lfm
        if item.part.cooling != "passive" or not needed:
            continue
        movers = movers_on(problem, seating, item, needed)
        for seat in seating.by_item.get(item.id, []):
            air = air_over(problem, problem.site[seat.site], seat.offer.machine)
            if air is not None and air < needed:
                yield Needs(
                    Ground(
                        RULE.id,
                        f"{item.id} needs {needed:g} LFM of air and {seat.site} has {air:g}",
                        written(item.part.span("airflow_lfm"), item.part.span("cooling")),
                    ),
                    seat.key,
                    movers,
                )


def movers_on(problem: Problem, seating: Seating, item: Item, needed: float) -> tuple[str, ...]:
    """Seats of air movers on this card that blow hard enough."""
    return tuple(
        seat.key
        for seat in seating.seats
        if problem.site[seat.site].owner == item.id
        and (problem.item[seat.item].part.gives_airflow_lfm or 0) >= needed
    )


RULE = PlanRule(
    id="COOL002",
    title="passive card without moving air",
    why="A passive card throttles or shuts down unless the chassis or an air mover blows through it.",
    source="facts I: data sheet figures, as quoted",
    state=state,
)
