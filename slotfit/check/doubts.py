"""Which unproven facts decide whether a part works, and which are conditions of another kind."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from slotfit.model.problem import Problem
from slotfit.model.seat import Doubt, Fact, Seat, rests_on
from slotfit.rule import SeatRule, trial_of
from slotfit.seating.seats import judge

DECIDING = frozenset(
    {
        "CPU001",  # whether the processor that the lanes come from is fitted
        "FIT002",  # whether the connector goes in at all
        "FIT009",  # whether what stands behind an open slot is in the way
        "LANE004",  # whether the lanes are fast enough for it to start
        "LANE006",  # whether the arrangement exists
        "LANE007",  # which lanes are the wide ones, where that changes how many endpoints are seen
        "POW001",  # whether the slot supplies what it draws
        "POW005",  # whether the slot has power at all
    }
)
"""
Doubts that make a verdict "not known": whether it goes in, starts and shows its endpoints.

All others are conditions that are told beside the verdict: what the part measures and draws, how
long a cable's way is, the air and the supply around it, how fast a link turns out, what shares a
guest's group. So are all doubts about what sits on the part: they ask about the part itself.
"""


ORDER = "LANE007"

SUPPLIED = "POW001"


def is_deciding(problem: Problem, part: str, rule: str) -> bool:
    """
    Whether a rule's doubt leaves the verdict open.

    A drive that draws more than its socket is made for is seen all the same, and drops out when it
    is busy: that is a condition.
    """
    drive = problem.item[part].part.part_class == "drive"
    return rule in DECIDING and not (drive and rule == SUPPLIED)


def facts(
    problem: Problem, part: str, seats: Iterable[Seat], rules: Sequence[SeatRule]
) -> tuple[tuple[Fact, ...], tuple[Fact, ...], tuple[Fact, ...]]:
    """Unproven facts under a part and what is on it: what decides, lane order, the others."""
    deciding: dict[str, Fact] = {}
    order: dict[str, Fact] = {}
    others: dict[str, Fact] = {}
    seats = tuple(seats)
    resting = rests_on(seats)
    for seat in seats:
        if not seat.facts:
            continue
        for verdict in judge(trial_of(problem, seat), rules):
            if isinstance(verdict, Doubt) and verdict.fact.id in resting:
                decides = seat.item == part and is_deciding(problem, part, verdict.rule)
                kind = order if verdict.rule == ORDER else deciding if decides else others
                kind[verdict.fact.id] = verdict.fact
    return tuple(deciding.values()), tuple(order.values()), tuple(others.values())
