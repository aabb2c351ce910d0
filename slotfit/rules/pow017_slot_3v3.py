"""POW017: more at 3.3 V than a slot gives."""

from collections import defaultdict
from collections.abc import Iterator

from slotfit.hardware.rails import on_slots_3v3, parts_below
from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.model.units import milliwatts
from slotfit.rule import PlanRule
from slotfit.standards.power import SLOT_3V3_W


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """M.2 drives over a carrier that makes no 3.3 V stay within the slot's own."""
    over: defaultdict[str, list[tuple[str, int]]] = defaultdict(list)
    for seat in seating.seats:
        part, below = problem.part[seat.part], parts_below(problem, seat.upstream.carriers)
        draw = milliwatts(part.spec.power)
        for carrier in on_slots_3v3(below, part.spec.plug.form) if draw else ():
            made = carrier.spec.makes_rails
            if made is not None and "3.3v" not in made:
                over[carrier.id].append((seat.key, draw))
    for name, terms in over.items():
        spec = problem.part[name].spec
        facts = (Cited("part", name, spec, "makes_rails"),)
        reason = RULE.no("over", {"part": name}, facts, limit=SLOT_3V3_W)
        yield AtMost(reason, tuple(terms), round(SLOT_3V3_W * 1000), "mW")


RULE = PlanRule(
    id="POW017",
    title="more at 3.3 V than a slot gives",
    why="M.2 drives live on 3.3 V. A carrier without a converter hands on the slot's own, which is "
    "little, whatever the slot gives at 12 V.",
    source="CEM 1.1 pp. 35-36: 3 A at 3.3 V, as quoted",
    says={
        "over": Wording(
            "{part} makes no 3.3 V, and its slot has {limit:g} W at 3.3 V for all that sits over it"
        )
    },
    state=state,
)
