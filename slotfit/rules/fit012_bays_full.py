"""FIT012: more drives than bays."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.machine import Chassis
from slotfit.model.problem import Problem, Rig
from slotfit.model.seat import Seat, Seating
from slotfit.model.words import Bay
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """No more drives on cables than bays: 3.5-inch ones in theirs, both sizes in both together."""
    for rig in problem.rigs:
        chassis = rig.chassis
        if chassis is None or chassis.bays is None:
            continue
        large, small = chassis.bays.get("3.5", 0), chassis.bays.get("2.5", 0)
        yield from fewer(problem, seating, rig, ("3.5",), (large, reason(chassis, large)))
        both = f"{reason(chassis, large)} and {small} of 2.5 inch"
        yield from fewer(problem, seating, rig, ("3.5", "2.5"), (large + small, both))


def reason(chassis: Chassis, large: int) -> str:
    """How many bays there are."""
    return f"{chassis.id} has {large} bays of 3.5 inch"


def fewer(
    problem: Problem,
    seating: Seating,
    rig: Rig,
    sizes: tuple[Bay, ...],
    bays: tuple[int, str],
) -> Iterator[Clause]:
    """At most so many drives of these sizes in this machine."""
    drives = [seat for seat in seating.seats if needs_bay(problem, seat, rig.id, sizes)]
    if len({seat.item for seat in drives}) > bays[0] and rig.chassis:
        ground = Ground(RULE.id, bays[1], written(rig.chassis.span("bays")))
        yield AtMost(ground, tuple((seat.key, 1) for seat in drives), bays[0], "drives")


def needs_bay(problem: Problem, seat: Seat, machine: str, sizes: tuple[Bay, ...]) -> bool:
    """A drive of one of these sizes on a cable of this machine."""
    offer = seat.offer
    return offer.machine == machine and offer.on_cable and problem.item[seat.item].part.bay in sizes


RULE = PlanRule(
    id="FIT012",
    title="more drives than bays",
    why="A drive on a cable is screwed into a bay; a 2.5-inch one also goes into a larger bay, "
    "with a frame.",
    source="chassis, `bays`; frames: common practice, no source",
    state=state,
)
