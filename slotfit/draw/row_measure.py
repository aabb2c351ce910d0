"""A slot row to draw, and the measures of its drawing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from slotfit.answers.place.answer import (
    PlannedCable,
    PlannedReceptacle,
    PlannedRow,
    PlannedSeat,
)
from slotfit.answers.place.layout import PlanLayout
from slotfit.draw import svg
from slotfit.draw.svg import Pen
from slotfit.standards.cem import CONNECTORS, PITCH_MM

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
            return svg.rect(x, y, deep, wide, **look)
        x, y = self.point(along + deep, across)
        return svg.rect(x, y, wide, deep, **look)

    def line(self, one: tuple[float, float], other: tuple[float, float], **look: object) -> str:
        """A straight line."""
        (x1, y1), (x2, y2) = self.point(*one), self.point(*other)
        return svg.tag("line", x1=x1, y1=y1, x2=x2, y2=y2, **look)

    def write(
        self,
        along: float,
        across: float,
        text: str,
        pen: Pen = svg.PLAIN,
        room: float | None = None,
    ) -> str:
        """A text that runs along the cards."""
        x, y = self.point(along, across)
        turn = None if self.name == "tower" else f"rotate(-90 {x:.2f} {y:.2f})"
        return svg.words(x, y, text, pen, room, turn)


CONNECTOR_AT_MM = 11.0
"""From the rear edge to the connector: not to scale, so that there is room for words."""
WORDS_AT_MM = CONNECTOR_AT_MM + CONNECTORS[16].housing_mm + 5
SHORTEST_MM = 310.0
"""A row is drawn at least this long, for its words."""
CABLE_MM = 11.0
"""Room for a cable in front of the cards."""
LABEL_MM = 56.0
FLAT_LABEL_MM = 36.0
"""Room for the slots' names behind the rear edge: beside the row, or below it."""
AIR_MM = 2.8
"""What a body leaves of its last pitch: the solder side of the next card (open drawing of card
outlines)."""


@dataclass(frozen=True, slots=True)
class Panel:
    """One row with all that stands in it."""

    row: PlannedRow
    receptacles: tuple[PlannedReceptacle, ...]
    layout: PlanLayout
    prefix: str

    @property
    def seats(self) -> list[PlannedSeat]:
        """The parts in the row."""
        return [self.layout.seat[one.item] for one in self.receptacles if one.item]

    @property
    def positions(self) -> int:
        """Pitches of the row: as said, or as far as its receptacles and bodies reach."""
        reach = [one.position for one in self.receptacles]
        reach += [position for seat in self.seats for position in seat.positions]
        return max([self.row.positions or 1, *(position + 1 for position in reach)])

    @property
    def width_mm(self) -> float:
        """How far it runs across."""
        return self.positions * PITCH_MM

    @property
    def lines(self) -> list[tuple[PlannedCable, list[float]]]:
        """Each cable that ends at a card of the row, with the places of its ends across."""
        ends = {
            cable: [
                one.position * PITCH_MM + PITCH_MM / 2 - 0.8
                for one in self.receptacles
                if one.item is not None and one.item in (cable.from_item, *cable.to)
            ]
            for cable in self.layout.cables
        }
        return [(cable, places) for cable, places in ends.items() if places]

    @property
    def length_mm(self) -> float:
        """How far the drawing of the row runs from the rear edge."""
        bodies = [seat.body.length_mm or 0 for seat in self.seats]
        rooms = [self.row.room_mm(place) or 0 for place in range(self.positions)]
        longest = max([SHORTEST_MM, *rooms, *bodies])
        return longest + 3 + CABLE_MM * len(self.lines)


MARGIN_MM = 6.0


class Sheet:
    """Elements from top to bottom; `y` is where the next one goes."""

    def __init__(self, wide: float, prefix: str) -> None:
        self.wide = wide
        self.prefix = prefix
        self.y = MARGIN_MM
        self.elements: list[str] = []

    def add(self, elements: Iterable[str]) -> None:
        """Draw, without moving on."""
        self.elements += elements

    def heading(self, text: str, size: float = svg.NAME_MM + 1.6) -> None:
        """A bold line."""
        for line in self.broken(text, size * svg.BOLD):
            self.y += size
            self.add([svg.words(MARGIN_MM, self.y, line, Pen(size, bold=True))])
        self.y += 4

    def paragraph(self, text: str) -> None:
        """Small print, broken to the width."""
        for line in self.broken(text, svg.SMALL_MM):
            self.y += svg.SMALL_MM + 1.6
            self.add([svg.words(MARGIN_MM, self.y, line, svg.FAINT)])
        self.y += 3

    def broken(self, text: str, size: float) -> list[str]:
        """Lines of whole words; a word longer than a line stands alone."""
        return svg.lines_of(text, svg.fits(self.wide - 2 * MARGIN_MM, size))


def patterns(prefix: str) -> Iterator[str]:
    """Fills that can be told apart without colour."""
    strokes = ("M0 0H4", "M-1 1L1 -1M0 4L4 0M3 5L5 3", "M1 1h1M3 3h1", "M0 0H4M0 0V4")
    for number, (line, fill) in enumerate(svg.PROCESSORS):
        yield pattern(f"{prefix}cpu{number}", fill, strokes[number], line, 1.1)
    yield pattern(f"{prefix}elsewhere", svg.PAPER, strokes[1], svg.INK, 0.5)
    yield pattern(f"{prefix}unknown", svg.PAPER, strokes[2], svg.WARN, 1.2)
    yield pattern(f"{prefix}thick", None, "M0 4L4 0", svg.LINE, 0.3)


def pattern(id_: str, ground: svg.Tone | None, d: str, stroke: svg.Tone, wide: float) -> str:
    """One pattern of four by four millimetres."""
    return svg.tag(
        "pattern",
        svg.tag("rect", width=4, height=4, fill=ground or "none"),
        svg.tag("path", d=d, stroke=stroke, stroke_width=wide, fill="none"),
        id=id_,
        width=4,
        height=4,
        patternUnits="userSpaceOnUse",
    )
