"""Which places take a part while their machine runs, and which of them nobody knows of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from slotfit.model.part import PartReceptacle, PartSpec, ReceptacleSpec
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat

SWAPPED = ("sata", "sas", "u2", "u3", "u2-u3", "e1s", "e1l", "e3s", "e3l")
"""Forms of places that are often made for it; elsewhere nobody is asked to look it up."""


def both(one: bool | None, other: bool | None) -> bool | None:
    """Yes if both say so, no if either does; else not known."""
    if False in (one, other):
        return False
    return None if None in (one, other) else True


def live_on(owner: PartSpec, receptacle: PartReceptacle, below: bool | None) -> bool | None:
    """
    Whether a socket of a part takes another while the machine runs; `below`: the part's own place.

    Up to the controller or switch that has to notice, every socket on the way must. A cable's far
    end is no place of its own: what it hangs in is a bay.
    """
    if owner.part_class == "cable":
        return below
    return receptacle.live_swap if notices(owner, receptacle) else both(receptacle.live_swap, below)


def notices(owner: PartSpec, receptacle: ReceptacleSpec) -> bool:
    """Whether the part with the socket sees for itself what comes and goes there."""
    bus = receptacle.bus if isinstance(receptacle, PartReceptacle) else None
    return owner.wiring == "controller" or (owner.wiring == "switch" and bus == "pcie")


def is_in_bay(problem: Problem, seat: Seat) -> bool:
    """Whether a part is screwed into a bay of the chassis, and not into a backplane's."""
    holder = next((problem.part[one].spec.part_class for one in seat.upstream.carriers), None)
    bay = problem.part[seat.part].spec.bay
    return bay is not None and seat.upstream.on_cable and holder != "backplane"


def bays_take(problem: Problem, seat: Seat) -> bool | None:
    """What all bays say that the drive goes into; None where they differ, or one does not say."""
    chassis, size = problem.machine[seat.upstream.machine].chassis, problem.part[seat.part].spec.bay
    bays = chassis.bays_for(size) if chassis and size else None
    said = {one.live_swap for one in bays or ()}
    return said.pop() if len(said) == 1 else None


def takes_live(problem: Problem, seat: Seat) -> bool | None:
    """Whether the part can come and go here while the machine runs; None: not known."""
    bay = bays_take(problem, seat) if is_in_bay(problem, seat) else True
    return both(seat.upstream.live, bay)


def to_look_up(problem: Problem, seat: Seat, seat_of: Mapping[str, Seat]) -> Iterator[str | None]:
    """
    Places of which nobody knows it: receptacles from the part's own up, None for chassis' bays.

    Nothing where it is known, or where places are hardly ever made for it. `seat_of`: where the
    parts above it sit.
    """
    form = problem.receptacle[seat.receptacle].spec.form
    if form in SWAPPED and takes_live(problem, seat) is None:
        if is_in_bay(problem, seat) and bays_take(problem, seat) is None:
            yield None
        yield from unknown_on_the_way(problem, seat, seat_of)


def unknown_on_the_way(problem: Problem, seat: Seat, seat_of: Mapping[str, Seat]) -> Iterator[str]:
    """Receptacles from a part's own up that do not say it."""
    receptacle = problem.receptacle[seat.receptacle]
    owner = problem.part.get(receptacle.owner)
    is_end = owner is not None and owner.spec.part_class == "cable"
    if receptacle.spec.live_swap is None and not is_end:
        yield receptacle.id
    passes_on = owner is not None and not notices(owner.spec, receptacle.spec)
    if passes_on and receptacle.owner in seat_of:
        yield from unknown_on_the_way(problem, seat_of[receptacle.owner], seat_of)
