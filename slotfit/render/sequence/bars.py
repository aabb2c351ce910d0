"""Bars and paths of the picture of a sequence: which part is in which row from when to when."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slotfit.render.sequence.view import SequenceView


@dataclass(frozen=True, slots=True)
class Bar:
    """One part in one row."""

    row: int
    item: str
    riders: int
    """The most parts that sit on it meanwhile."""
    first: int
    """Stretch in which it is there first."""
    last: int
    comes: bool
    """It was put there in a window."""


@dataclass(frozen=True, slots=True)
class Path:
    """One part from row to row in a window."""

    item: str
    window: int
    from_row: int
    to_row: int


def bars_of(view: SequenceView) -> Iterator[Bar]:
    """Every bar, row by row."""
    for row, place in enumerate(view.places):
        first = 0
        for number, cell in enumerate(place.cells):
            follows = number + 1 < len(place.cells) and place.cells[number + 1].item == cell.item
            if follows:
                continue
            if cell.item is not None:
                riders = max(one.riders for one in place.cells[first : number + 1])
                yield Bar(row, cell.item, riders, first, number, first > 0)
            first = number + 1


def lanes_of(view: SequenceView) -> dict[int, int]:
    """Rows beside the machines -> lanes, so that what lies there at other times shares one."""
    lanes: list[set[int]] = []
    found: dict[int, int] = {}
    for row, place in enumerate(view.places):
        if place.machine:
            continue
        times = {number for number, cell in enumerate(place.cells) if cell.item is not None}
        lane = next((n for n, taken in enumerate(lanes) if not near(times, taken)), len(lanes))
        if lane == len(lanes):
            lanes.append(set())
        lanes[lane] |= times
        found[row] = lane
    return found


def near(times: set[int], taken: set[int]) -> bool:
    """Whether two parts would touch in one lane."""
    return any(one + step in taken for one in times for step in (-1, 0, 1))


def paths_of(view: SequenceView) -> Iterator[Path]:
    """Every change of row."""
    rows: list[dict[str, int]] = []
    for number in range(len(view.windows) + 1):
        here = {}
        for row, place in enumerate(view.places):
            item = place.cells[number].item
            if item is not None:
                here[item] = row
        rows.append(here)
    for window in range(1, len(rows)):
        for item, row in rows[window].items():
            before = rows[window - 1].get(item)
            if before is not None and before != row:
                yield Path(item, window, before, row)
