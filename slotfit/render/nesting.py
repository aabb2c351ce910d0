"""A view's seats and receptacles by where they are."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import groupby

from slotfit.listing import in_short
from slotfit.render.layout_view import ReceptacleView
from slotfit.render.view import MachineView, SeatView, View


@dataclass(frozen=True, slots=True)
class Nesting:
    """Look-ups over one view."""

    seat: dict[str, SeatView]
    """Item -> its seat."""
    on: dict[str, list[ReceptacleView]]
    """Machine or item -> its receptacles."""
    processors: dict[tuple[str, str], int]
    """(Machine, processor) -> its number, counted over all machines."""
    labels: dict[tuple[str, str], str]
    """(Machine, processor) -> the name printed beside it."""

    def below(self, item: str) -> Iterator[tuple[ReceptacleView, SeatView | None]]:
        """A part's receptacles, each with what sits in it."""
        for receptacle in self.on.get(item, ()):
            yield receptacle, self.seat.get(receptacle.item or "")


def nesting_of(view: View) -> Nesting:
    """Index a view."""
    on: defaultdict[str, list[ReceptacleView]] = defaultdict(list)
    for receptacle in view.receptacles:
        on[receptacle.owner].append(receptacle)
    every = [(machine, row) for machine in view.machines for row in machine.processors]
    return Nesting(
        {seat.item: seat for seat in view.seats},
        dict(on),
        {(machine.id, row[0]): number for number, (machine, row) in enumerate(every)},
        {(machine.id, row[0]): row[1] for machine, row in every},
    )


def board_receptacles(view: View, machine: MachineView) -> list[ReceptacleView]:
    """The board's own receptacles: those in a row first, in the order of their positions."""
    own = [r for r in view.receptacles if r.on_board and r.machine == machine.id]
    rows = list(dict.fromkeys(r.row for r in own if r.row))
    return sorted(own, key=lambda r: (rows.index(r.row) if r.row else len(rows), r.position))


def merged(places: list[ReceptacleView]) -> list[ReceptacleView]:
    """
    The same with neighbours that are empty and alike in everything but their names made one.

    Receptacles in a row, and those that share a lane group, stay apart.
    """
    sharing = Counter(place.group for place in places)

    def alike(place: ReceptacleView) -> object:
        apart = place.item or place.row or (place.group and sharing[place.group] > 1)
        return place.site if apart else replace(place, site="", id="", label="", group=None)

    found = []
    for _, same in groupby(places, alike):
        every = list(same)
        found.append(replace(every[0], label=in_short(place.label for place in every)))
    return found
