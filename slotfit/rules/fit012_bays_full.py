"""FIT012: more drives than bays."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """No more cabled drives of a size than the chassis has bays."""
    for rig in problem.rigs:
        if rig.chassis is None or not rig.chassis.bays:
            continue
        for size in sorted({item.part.bay for item in problem.items if item.part.bay}):
            drives = [
                seat
                for seat in seating.seats
                if seat.offer.machine == rig.id
                and seat.offer.on_cable
                and problem.item[seat.item].part.bay == size
            ]
            bays = rig.chassis.bays.get(size, 0)
            if len({seat.item for seat in drives}) > bays:
                yield AtMost(
                    Ground(
                        RULE.id,
                        f"{rig.chassis.id} has {bays} bays of {size} inch",
                        written(rig.chassis.span("bays")),
                    ),
                    tuple((seat.key, 1) for seat in drives),
                    bays,
                    "bays",
                )


RULE = PlanRule(
    id="FIT012",
    title="more drives than bays",
    why="A drive on a cable needs a bay to be screwed into.",
    source="chassis, `bays`",
    state=state,
)
