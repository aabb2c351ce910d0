"""LANE010: two arrangements of one lane group."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import Clause, ExactlyOne, Ground, Needs, arrangement
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """One arrangement a lane group, and each seat under one that makes its offer."""
    for rig in problem.rigs:
        for group in rig.board.lane_groups:
            name = f"{rig.id}/{group.id}"
            yield ExactlyOne(
                Ground(RULE.id, f"{name} is divided one way at a time", written(group.span())),
                tuple(arrangement(name, str(way.id)) for way in group.arrangements),
            )
    for seat in seating.seats:
        if seat.arrangements and seat.offer.group:
            yield Needs(
                Ground(RULE.id, f"{seat.item} in {seat.site} needs its arrangement"),
                seat.key,
                tuple(arrangement(seat.offer.group, way) for way in seat.arrangements),
            )


RULE = PlanRule(
    id="LANE010",
    title="two arrangements of one lane group",
    why="A lane group is divided one way at a time.",
    source="what an arrangement is",
    state=state,
)
