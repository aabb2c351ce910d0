"""Lanes that a board steers by what is plugged in: what has to stay empty, and what if not."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.hardware.steering import drawing, served
from slotfit.model.board import Arrangement, LaneGroup


def keep_empty(group: LaneGroup, way: Arrangement, own: str) -> tuple[str, ...]:
    """Receptacles that would draw lanes away from `own` if something were plugged into them."""
    drawn = dict.fromkeys(name for names in drawing(group).values() for name in names)
    return tuple(name for name in drawn if name not in served(way) and name != own)


def while_filled(group: LaneGroup, own: str) -> Iterator[tuple[Arrangement, tuple[str, ...]]]:
    """Arrangements with lanes for `own` that come only while others are filled, and which."""
    drawn = drawing(group)
    for way in group.arrangements:
        others = tuple(name for name in drawn.get(way.id, ()) if name != own)
        if others and own in served(way):
            yield way, others


def taken_from(today: Arrangement, way: Arrangement, own: str) -> Iterator[str]:
    """Other receptacles that have fewer lanes than today."""
    for name, before in today.gives.items():
        if name != own and size(way.gives.get(name, ())) < size(before):
            yield name


def size(widths: tuple[int | str, ...]) -> int:
    """Lanes in all; a SATA or SAS lane is one."""
    return sum(width if isinstance(width, int) else 1 for width in widths)
