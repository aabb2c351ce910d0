"""FIT012: more drives than bays."""

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause
from slotfit.model.machine import Chassis
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.model.words import Bay
from slotfit.rule import Gap, PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """No more drives on cables than bays: 3.5-inch ones in theirs, both sizes in both together."""
    for machine in problem.machines:
        bays = machine.chassis.bay_counts if machine.chassis else None
        if machine.chassis is not None and bays is not None:
            drives = [seat for seat in seating.seats if on_cable_in(seat, machine.id)]
            for sizes in (("3.5",), ("3.5", "2.5")):
                yield from fewer(problem, drives, machine.chassis, bays, sizes)


def on_cable_in(seat: Seat, machine: str) -> bool:
    """Whether a part hangs on a cable of this machine."""
    return seat.upstream.machine == machine and seat.upstream.on_cable


def fewer(
    problem: Problem,
    hanging: list[Seat],
    chassis: Chassis,
    bays: dict[Bay, int],
    sizes: tuple[Bay, ...],
) -> Iterator[Clause]:
    """At most so many drives of these sizes as there are bays for them."""
    drives = [seat for seat in hanging if problem.part[seat.part].spec.bay in sizes]
    count = sum(bays.get(size, 0) for size in sizes)
    if len({seat.part for seat in drives}) > count:
        facts = (Cited("chassis", chassis.id, chassis, "bays"),)
        have = tuple((size, bays.get(size, 0)) for size in sizes)
        reason = RULE.no("bays", {}, facts, chassis=chassis.id, bays=have)
        yield AtMost(reason, tuple((seat.key, 1) for seat in drives), count, "drives")


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
    "with a frame.",
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
