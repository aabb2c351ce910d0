"""POW002: more power than the slot below gives."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem, Site
from slotfit.model.seat import Seat, Seating
from slotfit.model.units import milliwatts
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """All that is nested over a board receptacle stays within what that supplies."""
    for site in problem.sites:
        if not site.on_board or site.receptacle.power_w is None:
            continue
        over = [seat for seat in seating.seats if draws_through(problem, seat, site)]
        draws = [(seat.key, milliwatts(problem.item[seat.item].part.power)) for seat in over]
        if any(seat.offer.depth and draw for seat, (_, draw) in zip(over, draws, strict=True)):
            reason = f"{site.id} supplies {site.receptacle.power_w:g} W to all that sits over it"
            yield AtMost(
                Ground(RULE.id, reason, written(site.receptacle.span("power_w"))),
                tuple(draw for draw in draws if draw[1]),
                round(site.receptacle.power_w * 1000),
                "mW",
            )


def draws_through(problem: Problem, seat: Seat, site: Site) -> bool:
    """Whether a seat takes its power from this receptacle: not over a cable or a fed riser."""
    offer = seat.offer
    if offer.root != site.id or offer.on_cable:
        return False
    below = (problem.item[name].part.power for name in offer.carriers)
    return not any(power and power.aux for power in below)


RULE = PlanRule(
    id="POW002",
    title="more power than the slot below gives",
    why="What sits in a riser or carrier draws through the slot below it, unless the riser has a "
    "plug of its own.",
    source="the board's own word; CEM 1.1 pp. 35-36 slot power, as quoted",
    state=state,
)
