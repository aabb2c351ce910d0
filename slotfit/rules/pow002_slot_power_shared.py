"""POW002: more power than the slot below gives."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.model.units import milliwatts
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """All that is nested over a board receptacle stays within what that supplies."""
    for site in problem.sites:
        if not site.on_board or site.receptacle.power_w is None:
            continue
        over = [s for s in seating.seats if s.offer.root == site.id and not s.offer.on_cable]
        if not any(seat.offer.depth for seat in over):
            continue
        draws = [(s.key, milliwatts(problem.item[s.item].part.power)) for s in over]
        yield AtMost(
            Ground(
                RULE.id,
                f"{site.id} supplies {site.receptacle.power_w:g} W to all that sits over it",
                written(site.receptacle.span("power_w")),
            ),
            tuple(draw for draw in draws if draw[1]),
            round(site.receptacle.power_w * 1000),
            "mW",
        )


RULE = PlanRule(
    id="POW002",
    title="more power than the slot below gives",
    why="What sits in a riser or carrier draws through the slot below it.",
    source="CEM slot power classes, as quoted",
    state=state,
)
