"""Which receptacles of a lane group draw lanes to themselves while something is plugged in."""

from __future__ import annotations

from slotfit.model.board import Arrangement, LaneGroup


def drawing(group: LaneGroup) -> dict[str | None, list[str]]:
    """Arrangement chosen by presence -> receptacles it serves only because they are filled."""
    steered = [way for way in group.arrangements if way.chosen_by == "presence"]
    empty = way_when_empty(group, steered)
    return {way.id: gained(empty, way) for way in steered}


def served(way: Arrangement) -> frozenset[str]:
    """Receptacles that get lanes."""
    return frozenset(name for name, widths in way.gives.items() if widths)


def way_when_empty(group: LaneGroup, steered: list[Arrangement]) -> Arrangement:
    """What the board does while nothing is plugged in: the first, or one that serves still less."""
    first = group.arrangements[0]
    less = [way for way in steered if served(way) < served(first)]
    return min(less, key=lambda way: len(served(way)), default=first)


def gained(empty: Arrangement, way: Arrangement) -> list[str]:
    """Receptacles that get lanes only because something is in them."""
    return [name for name in way.gives if name in served(way) - served(empty)]
