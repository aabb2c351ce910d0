"""What guests take along, and what it needs that several share a part."""

from collections.abc import Iterable, Iterator, Mapping

from slotfit.listing import listed
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat
from slotfit.model.words import SharedBy
from slotfit.rule import is_function

NEEDS: Mapping[SharedBy, str] = {
    "virtual-functions": "switch on virtualisation of inputs and outputs (SR-IOV) in the firmware "
    "setup, and load the part's own driver in the host and in the guests",
    "mediated": "load the driver that cuts it into shares in the host, and its other half in the "
    "guests",
    "host-service": "the host drives it, and guests reach it through a bridge or a file share",
}
"""How a part is shared -> what that needs (common practice, no source)."""


def guests_take(problem: Problem, seats: Iterable[Seat]) -> Iterator[str]:
    """A line for each part that takes on-board devices along, and for each that is shared."""
    for seat in seats:
        part = problem.part[seat.part]
        if not is_function(part.spec):
            continue
        if part.wish.is_shared and part.wish.shared_by:
            yield f"{part.id} is shared by {listed(part.wish.guests)}: {NEEDS[part.wish.shared_by]}"
        along = [one for one in devices_with(problem, seat) if part.wish.owner]
        if along:
            yield (
                f"guest {part.wish.owner} takes {listed(along)} of {seat.upstream.machine} along "
                f"with {part.id}: they are in one isolation group"
            )


def devices_with(problem: Problem, seat: Seat) -> list[str]:
    """On-board devices in the isolation group of a seat."""
    machine = problem.machine[seat.upstream.machine]
    devices = (one for one in machine.board.devices or () if one.isolation)
    return [
        one.label or one.id
        for one in devices
        if seat.upstream.isolation == f"{machine.id}/{one.isolation}"
    ]
