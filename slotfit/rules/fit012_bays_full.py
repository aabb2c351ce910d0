"""FIT012: more drives than bays."""

from collections.abc import Iterator

from slotfit.hardware.bays import SIZES, bays_taken
from slotfit.model.clause import AtMost, Clause
from slotfit.model.machine import Chassis
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.model.words import Bay
from slotfit.rule import Gap, PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """No more bays taken than there are: large ones, and those of both sizes together."""
    for machine in problem.machines:
        bays = machine.chassis.bay_counts if machine.chassis else None
        if machine.chassis is not None and bays is not None:
            here = [seat for seat in seating.seats if seat.upstream.machine == machine.id]
            for sizes in SIZES:
                yield from fewer(problem, here, machine.chassis, bays, sizes)


def fewer(
    problem: Problem,
    here: list[Seat],
    chassis: Chassis,
    bays: dict[Bay, int],
    sizes: tuple[Bay, ...],
) -> Iterator[Clause]:
    """At most so many bays of these sizes as there are."""
    every = ((seat, bays_taken(problem, seat, sizes)) for seat in here)
    taken = [(seat, count) for seat, count in every if count]
    most = {seat.part: count for seat, count in taken}  # the same wherever it takes any
    count = sum(bays.get(size, 0) for size in sizes)
    if sum(most.values()) > count:
        facts = (Cited("chassis", chassis.id, chassis, "bays"),)
        have = tuple((size, bays.get(size, 0)) for size in sizes)
        reason = RULE.no("bays", {}, facts, chassis=chassis.id, bays=have)
        terms = tuple((seat.key, taking) for seat, taking in taken)
        yield AtMost(reason, terms, count, "bays")


def by_size(bays: tuple[tuple[Bay, int], ...]) -> str:
    """`4 bays of 3.5 inch and 2 of 2.5 inch`."""
    (size, count), *others = bays
    return " and ".join(
        (f"{count} bays of {size} inch", *(f"{more} of {other} inch" for other, more in others))
    )


RULE = PlanRule(
    id="FIT012",
    title="more drives than bays",
    why="A drive on a cable is screwed into a bay; a 2.5-inch one also goes into a larger bay, "
    "with a frame. Behind a backplane's bays there is no room for another cable.",
    source="chassis, `bays`; frames: common practice, no source",
    says={"bays": Wording("{chassis} has {bays}", words={"bays": by_size})},
    gaps=(
        Gap(
            "part",
            "bay",
            lambda part: (
                part.part_class == "drive"
                and part.bay is None
                and part.plug.form in ("sata", "sas")
            ),
            "which bay it is screwed into is not said, so nobody counts whether there are enough",
            '`bay: "2.5"` or `bay: "3.5"`',
            changes=("place",),
        ),
    ),
    state=state,
)
