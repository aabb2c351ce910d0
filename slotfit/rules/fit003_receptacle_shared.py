"""FIT003: two parts in one receptacle."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """One part a receptacle."""
    for site, seats in seating.by_site.items():
        if len({seat.item for seat in seats}) > 1:
            yield AtMost(
                Ground(
                    RULE.id,
                    f"{site} takes one part",
                    written(problem.site[site].receptacle.span()),
                ),
                tuple((seat.key, 1) for seat in seats),
                1,
                "parts",
            )


RULE = PlanRule(
    id="FIT003",
    title="two parts in one receptacle",
    why="A receptacle takes one part.",
    source="what a connector is: our own word",
    state=state,
)
