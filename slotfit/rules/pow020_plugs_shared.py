"""POW020: more than the plugs of a carrier carry."""

from collections import defaultdict
from collections.abc import Iterator

from slotfit.hardware.rails import fed_by_plugs, parts_below
from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.model.units import milliwatts
from slotfit.rule import PlanRule
from slotfit.standards.power import plugs_w


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """What hangs on a powered carrier, cable or riser stays within its plugs."""
    over: defaultdict[str, list[tuple[str, int]]] = defaultdict(list)
    for seat in seating.seats:
        draw = milliwatts(problem.part[seat.part].spec.power)
        below = parts_below(problem, seat.upstream.carriers)
        feeder = fed_by_plugs(problem.receptacle[seat.receptacle].spec.form, below)
        if feeder is not None and draw:
            over[feeder.id].append((seat.key, draw))
    for name, terms in over.items():
        spec = problem.part[name].spec
        power = spec.power
        if power is None:
            continue
        carried = plugs_w(power.aux)
        left = max(carried - (power.aux_w or 0), 0)
        facts = (Cited("part", name, spec, "power.aux"),)
        detail = {"plugs": power.aux, "carried": carried}
        reason = RULE.no("over", {"part": name}, facts, detail, left=left)
        yield AtMost(reason, tuple(terms), round(left * 1000), "mW")


RULE = PlanRule(
    id="POW020",
    title="more than the plugs of a carrier carry",
    why="What sits on a carrier, cable or riser with a plug of its own draws through that plug.",
    source="ATX version 3 design guide 336521 Table 3-5, as quoted; the rows in standards/power.py",
    says={
        "over": Wording(
            "{part} has {left:g} W left in its plugs for all that is attached to it",
            "{carried:g} W through {plugs}",
            words={"plugs": " and ".join},
        )
    },
    state=state,
)
