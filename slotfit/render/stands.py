"""
The two ways a board lies before the reader, and where a point of its row falls then.

In a row, `along` runs from the rear edge towards the front and `across` in the direction in which
a thick card grows. A board in a tower, seen from its open side, has its rear at the left and the
row growing downwards; lying flat with its rear edge nearest to the reader, from left to right.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from slotfit.render.svg import PLAIN, Pen, tag, words

StandName = Literal["flat", "tower"]

STAND_WORDS: dict[StandName, str] = {
    "flat": "The board lies flat; you stand behind the machine and look down: "
    "its rear edge is at the bottom.",
    "tower": "The board stands in a tower; you look in from the open side: its rear edge is at "
    "the left.",
}


@dataclass(frozen=True, slots=True)
class Stand:
    """Where the row's origin lies in the drawing, and which way it runs."""

    name: StandName
    x: float
    y: float

    def point(self, along: float, across: float) -> tuple[float, float]:
        """The drawing's coordinates."""
        if self.name == "tower":
            return self.x + along, self.y + across
        return self.x + across, self.y - along

    def box(self, along: float, across: float, deep: float, wide: float, **look: object) -> str:
        """A rectangle `deep` along the cards and `wide` across them."""
        if self.name == "tower":
            x, y = self.point(along, across)
            return tag("rect", x=x, y=y, width=deep, height=wide, **look)
        x, y = self.point(along + deep, across)
        return tag("rect", x=x, y=y, width=wide, height=deep, **look)

    def line(self, one: tuple[float, float], other: tuple[float, float], **look: object) -> str:
        """A straight line."""
        (x1, y1), (x2, y2) = self.point(*one), self.point(*other)
        return tag("line", x1=x1, y1=y1, x2=x2, y2=y2, **look)

    def write(
        self, along: float, across: float, text: str, pen: Pen = PLAIN, room: float | None = None
    ) -> str:
        """A text that runs along the cards."""
        x, y = self.point(along, across)
        turn = None if self.name == "tower" else f"rotate(-90 {x:.2f} {y:.2f})"
        return words(x, y, text, pen, room, turn)
