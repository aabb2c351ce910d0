"""FIT013: board the chassis has no stand-offs for."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Nothing goes into a machine whose board does not go into its chassis."""
    for rig in problem.rigs:
        chassis, size = rig.chassis, rig.board.size
        if chassis is None or chassis.sizes is None or size is None or size in chassis.sizes:
            continue
        yield AtMost(
            Ground(
                RULE.id,
                f"{rig.board.id} is an {size} board and {chassis.id} takes "
                f"{', '.join(chassis.sizes)}",
                written(rig.board.span("size"), chassis.span("sizes")),
            ),
            tuple((seat.key, 1) for seat in seating.seats if seat.offer.machine == rig.id),
            0,
            "parts",
        )


RULE = PlanRule(
    id="FIT013",
    title="board the chassis has no stand-offs for",
    why="A board is screwed to stand-offs at the places its size prescribes.",
    source="chassis and board files, `size` and `sizes`",
    state=state,
)
