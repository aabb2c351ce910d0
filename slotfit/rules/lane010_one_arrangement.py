"""LANE010: two arrangements of one lane group."""

from collections.abc import Iterator, Sequence

from slotfit.model.board import Arrangement
from slotfit.model.clause import Clause, ExactlyOne, Needs, arrangement
from slotfit.model.keys import GroupKey
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule, division


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """One arrangement a lane group, and each seat under one that makes its offer."""
    for key, group in problem.lane_groups.items():
        reason = RULE.no("one", {}, (Cited("group", str(key), group, ""),), group=str(key))
        ways = tuple(arrangement(key, str(way.id)) for way in problem.every_way(key))
        yield ExactlyOne(reason, ways)
    for seat in seating.seats:
        if seat.arrangements and seat.upstream.group:
            key = seat.upstream.group
            under = [way for way in problem.every_way(key) if way.id in seat.arrangements]
            yield needs(seat, key, under)


def needs(seat: Seat, key: GroupKey, ways: Sequence[Arrangement]) -> Needs:
    """The seat is there only under one of its arrangements."""
    reason = RULE.no(
        "under",
        {"part": seat.part, "receptacle": seat.receptacle},
        tuple(Cited("arrangement", str(way.id), way, "") for way in ways),
        group=str(key),
        divisions=tuple(division(way) for way in ways),
    )
    return Needs(reason, seat.key, tuple(arrangement(key, way) for way in seat.arrangements))


RULE = PlanRule(
    id="LANE010",
    title="two arrangements of one lane group",
    why="A lane group is divided one way at a time.",
    source="what an arrangement is: our own word",
    says={
        "one": Wording("{group} is divided one way at a time"),
        "under": Wording(
            "{part} in {receptacle} needs {group} divided as {divisions}",
            words={"divisions": " or ".join},
        ),
    },
    state=state,
)
