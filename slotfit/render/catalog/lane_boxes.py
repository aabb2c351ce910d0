"""Lanes in plain text: boxes side by side, as long as they have lanes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

MOST_COLUMNS = 76
"""Wider drawings become a list."""


@dataclass(frozen=True, slots=True)
class Box:
    """A run of lanes that belong together."""

    at: int
    lanes: int
    label: str


def boxes_drawn(boxes: Sequence[Box], lanes: int, indent: str = "  ") -> Iterator[str]:
    """
    Two lines: the first lane of each box, and the boxes; lanes in no box are dots.

    >>> print("\\n".join(boxes_drawn([Box(0, 4, "a"), Box(4, 4, "b")], 12)))
      lane 0          4                8
      [ x4 a         ][ x4 b         ] . . . .
    """
    cell = width_of_a_lane(boxes, lanes)
    if cell * lanes > MOST_COLUMNS:
        yield from (f"{indent}lane {box.at}: x{box.lanes} {box.label}" for box in boxes)
        return
    ruler, line, lane = "", "", 0
    for box in sorted(boxes, key=lambda box: box.at):
        line += " ." * (box.at - lane) if box.at > lane else ""
        ruler = ruler.ljust(len(line)) + (f"lane {box.at}" if not ruler else str(box.at))
        line += f"[ {f'x{box.lanes} {box.label}':<{box.lanes * cell - 4}} ]"
        lane = box.at + box.lanes
    if lane < lanes:
        ruler = ruler.ljust(len(line)) + f" {lane}"
        line += " ." * (lanes - lane)
    yield indent + ruler
    yield indent + line


def width_of_a_lane(boxes: Sequence[Box], lanes: int) -> int:
    """Columns a lane, so that every label finds room in its box."""
    needed = max(
        (-(-(len(f"x{box.lanes} {box.label}") + 4) // box.lanes) for box in boxes), default=2
    )
    return max(needed, min(MOST_COLUMNS // max(lanes, 1), 4))
