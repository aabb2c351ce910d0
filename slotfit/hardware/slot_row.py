"""Which positions of a slot row a seated body covers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from slotfit.model.problem import Problem
from slotfit.model.seat import Seat

Position = tuple[str, str, int]
"""Owner, row, position."""


def positions(problem: Problem, seat: Seat) -> tuple[Position, ...]:
    """Every position the seat's body covers; none outside a row. Unknown thickness counts as 1."""
    site, part = problem.site[seat.site], problem.item[seat.item].part
    if site.row is None:
        return ()
    first = site.receptacle.position
    thickness = (part.thickness or 1) if part.plug.form in ("cem", "opening") else 0
    return tuple((*site.row, place) for place in range(first, first + thickness))


def bodies_by_position(problem: Problem, seats: Iterable[Seat]) -> dict[Position, list[Seat]]:
    """Position -> the seats that would cover it."""
    found: defaultdict[Position, list[Seat]] = defaultdict(list)
    for seat in seats:
        for position in positions(problem, seat):
            found[position].append(seat)
    return dict(found)
