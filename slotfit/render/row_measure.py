"""A slot row to draw, and the measures of its drawing."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.render.cables_of import CableView
from slotfit.render.layout_view import ReceptacleView, RowView
from slotfit.render.nesting import Nesting
from slotfit.render.palette import CARD, LINE, PAPER, Tone, processor_tones
from slotfit.render.view import SeatView
from slotfit.standards.cem import CONNECTORS, PITCH_MM

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
