"""A slot row to draw, and the measures of its drawing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from slotfit.answers.place.answer import SeatView
from slotfit.answers.place.cables import CableView, Nesting
from slotfit.answers.place.layout import ReceptacleView, RowView
from slotfit.draw.svg import (
    CARD,
    FAINT,
    INK,
    LINE,
    NAME_MM,
    PAPER,
    PLAIN,
    PROCESSORS,
    SMALL_MM,
    WARN,
    Pen,
    Tone,
    fits,
    processor_tones,
    tag,
    words,
)
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
"""What a body leaves of its last pitch: the solder side of the next card (CEM 1.2)."""


@dataclass(frozen=True, slots=True)
class Panel:
    """One row with all that stands in it."""

    row: RowView
    receptacles: tuple[ReceptacleView, ...]
    nesting: Nesting
    cables: tuple[CableView, ...]
    prefix: str

    @property
    def positions(self) -> int:
        """Pitches of the row: as said, or as far as its receptacles and bodies reach."""
        reach = [r.position + 1 for r in self.receptacles]
        reach += [max(s.positions) + 1 for s in self.seats if s.positions]
        return max([self.row.positions or 0, *reach, 1])

    @property
    def seats(self) -> list[SeatView]:
        """The parts in the row."""
        items = (r.item for r in self.receptacles if r.item)
        return [self.nesting.seat[item] for item in items]

    @property
    def length_mm(self) -> float:
        """How far the drawing of the row runs from the rear edge."""
        bodies = [s.body.length_mm or 0 for s in self.seats if s.body]
        return max([SHORTEST_MM, self.row.length_mm or 0, *bodies]) + 3 + CABLE_MM * len(self.lines)

    @property
    def lines(self) -> list[tuple[CableView, list[float]]]:
        """Each cable that ends at a card of the row, with the places of its ends across."""
        found = []
        for cable in self.cables:
            ends = [
                r.position * PITCH_MM + PITCH_MM / 2 - 0.8
                for r in self.receptacles
                if r.item is not None and r.item in (cable.from_item, *cable.to)
            ]
            if ends:
                found.append((cable, ends))
        return found

    @property
    def width_mm(self) -> float:
        """How far it runs across."""
        return self.positions * PITCH_MM


def hue(panel: Panel, receptacle: ReceptacleView) -> tuple[Tone, Tone, str]:
    """Line, fill and pattern of the processor that a slot hangs on."""
    number = panel.nesting.processors.get((receptacle.machine, receptacle.processor or ""))
    if number is None:
        return LINE, CARD, PAPER.light
    return *processor_tones(number), f"url(#{panel.prefix}cpu{number % 4})"


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

    def heading(self, text: str, size: float = NAME_MM + 1.6) -> None:
        """A bold line."""
        for line in broken(text, fits(self.wide - 2 * MARGIN_MM, size * 1.06)):
            self.y += size
            self.add([words(MARGIN_MM, self.y, line, Pen(size, bold=True))])
        self.y += 4

    def paragraph(self, text: str) -> None:
        """Small print, broken to the width."""
        for line in broken(text, fits(self.wide - 2 * MARGIN_MM, SMALL_MM)):
            self.y += SMALL_MM + 1.6
            self.add([words(MARGIN_MM, self.y, line, FAINT)])
        self.y += 3


def broken(text: str, characters: int) -> list[str]:
    """Lines of whole words; a word longer than a line stands alone."""
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}".strip()
        if len(joined) <= characters or not lines[-1]:
            lines[-1] = joined
        else:
            lines.append(word)
    return lines


def patterns(prefix: str) -> Iterator[str]:
    """Fills that can be told apart without colour."""
    strokes = (
        "M0 0H4",
        "M-1 1L1 -1M0 4L4 0M3 5L5 3",
        "M1 1h1M3 3h1",
        "M0 0H4M0 0V4",
    )
    for number, (line, fill) in enumerate(PROCESSORS):
        yield pattern(f"{prefix}cpu{number}", fill.light, strokes[number], line.light, 1.1)
    yield pattern(f"{prefix}elsewhere", PAPER.light, "M-1 1L1 -1M0 4L4 0M3 5L5 3", INK.light, 0.5)
    yield pattern(f"{prefix}unknown", PAPER.light, "M1 1h1M3 3h1", WARN.light, 1.2)
    yield pattern(f"{prefix}thick", "none", "M0 4L4 0", LINE.light, 0.3)


def pattern(id_: str, ground: str, stroke: str, colour: str, wide: float) -> str:
    """One pattern of four by four millimetres."""
    return tag(
        "pattern",
        tag("rect", width=4, height=4, fill=ground),
        tag("path", d=stroke, stroke=colour, stroke_width=wide, fill="none"),
        id=id_,
        width=4,
        height=4,
        patternUnits="userSpaceOnUse",
    )
