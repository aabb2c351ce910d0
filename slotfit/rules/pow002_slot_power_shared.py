"""POW002: more power than the slot below gives."""

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.model.units import milliwatts
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """All that sits over a receptacle stays within what that supplies."""
    for receptacle in problem.receptacles:
        supply = receptacle.spec.power_w
        over = [seat for seat in seating.seats if receptacle.id in seat.upstream.fed_through]
        draws = [(seat.key, milliwatts(problem.part[seat.part].spec.power)) for seat in over]
        nested = any(
            seat.receptacle != receptacle.id and draw
            for seat, (_, draw) in zip(over, draws, strict=True)
        )
        if nested and supply is not None:
            facts = (Cited("receptacle", receptacle.id, receptacle.spec, "power_w"),)
            reason = RULE.no("over", {"receptacle": receptacle.id}, facts, supply=supply)
            terms = tuple(draw for draw in draws if draw[1])
            yield AtMost(reason, terms, round(supply * 1000), "mW")


RULE = PlanRule(
    id="POW002",
    title="more power than the slot below gives",
    why="What sits in a riser or carrier draws through the slot below it, unless the riser has a "
    "plug of its own.",
    source="the board's own word; CEM 1.1 pp. 35-36 slot power, as quoted",
    says={"over": Wording("{receptacle} supplies {supply:g} W to all that sits over it")},
    state=state,
)
