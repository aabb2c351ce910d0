"""Bays of a chassis, and which parts of a build take them."""

from __future__ import annotations

from collections.abc import Sequence

from slotfit.model.part import PartSpec
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat
from slotfit.model.words import Bay

SIZES: tuple[tuple[Bay, ...], ...] = (("3.5",), ("3.5", "2.5"))
"""3.5-inch drives go into their own bays alone; those of both sizes into all together."""


def bays_behind(backplane: PartSpec, sizes: Sequence[Bay]) -> int:
    """Bays of these sizes that a backplane stands behind; one of unknown size counts in all."""
    return sum(
        one.bay in sizes or (one.bay is None and "2.5" in sizes) for one in backplane.receptacles
    )


def bays_taken(problem: Problem, seat: Seat, sizes: Sequence[Bay]) -> int:
    """Bays of the chassis, of these sizes, that nothing else goes into with the part there."""
    spec = problem.part[seat.part].spec
    if spec.part_class == "backplane":
        return bays_behind(spec, sizes) if spec.own_bays is False else 0
    return int(seat.upstream.on_cable and spec.bay in sizes and holder_of(problem, seat) is None)


def holder_of(problem: Problem, seat: Seat) -> PartSpec | None:
    """The backplane in whose bay a drive is; None: it hangs on a cable, or on a board."""
    owner = next((problem.part[one].spec for one in seat.upstream.carriers), None)
    return owner if owner and owner.part_class == "backplane" else None
