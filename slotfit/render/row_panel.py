"""One slot row from above: openings, connectors, cards as bodies of their true size."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.render.drawn_text import markup
from slotfit.render.layout_view import ReceptacleView
from slotfit.render.palette import CARD, INK, LINE, PAPER, ROOM, SOFT, WARN
from slotfit.render.row_lanes import connector, housing_mm
from slotfit.render.row_measure import (
    AIR_MM,
    CABLE_MM,
    CONNECTOR_AT_MM,
    WORDS_AT_MM,
    Panel,
    hue,
)
from slotfit.render.row_words import draw_label, draw_words
from slotfit.render.seat_words import health
from slotfit.render.stands import Stand
from slotfit.render.svg import badge, tag
from slotfit.render.view import SeatView
from slotfit.standards.cem import PITCH_MM


def draw_panel(panel: Panel, stand: Stand) -> Iterator[str]:
    """Everything of one row, from the board up."""
    yield from draw_room(panel, stand)
    for number in range(panel.positions):
        yield from draw_opening(panel, stand, number)
    for receptacle in panel.receptacles:
        seat = panel.nesting.seat.get(receptacle.item or "")
        name = f"{receptacle.label}: {receptacle.item or receptacle.state}"
        inside = [tag("title", markup(name))]
        inside += draw_label(panel, stand, receptacle)
        inside += (
            draw_seat(panel, stand, receptacle, seat) if seat else draw_empty(stand, receptacle)
        )
        middle = receptacle.position * PITCH_MM + PITCH_MM / 2 - 0.6
        if receptacle.form != "opening":
            inside += connector(stand, panel.prefix, receptacle, seat, (CONNECTOR_AT_MM, middle))
        inside += draw_words(panel, stand, receptacle, seat)
        yield tag("g", *inside, data_site=receptacle.site, data_item=receptacle.item)
    yield from draw_cables(panel, stand)


def draw_cables(panel: Panel, stand: Stand) -> Iterator[str]:
    """Each cable along the front of the row, a disc with its letter at every end."""
    lines = panel.lines
    for number, (cable, ends) in enumerate(lines):
        along = panel.length_mm - CABLE_MM * (len(lines) - number) + CABLE_MM / 2
        if len(ends) > 1:
            yield stand.line(
                (along, min(ends)), (along, max(ends)), stroke=INK.light, stroke_width=1.2
            )
        for across in ends:
            yield badge(*stand.point(along, across), cable.letter)


def draw_room(panel: Panel, stand: Stand) -> Iterator[str]:
    """The floor of the row, a rule in millimetres, and the end of the room for cards."""
    wide, deep = panel.width_mm, panel.length_mm
    yield stand.box(0, 0, deep, wide, fill=ROOM.light)
    for number in range(1, panel.positions):
        across = number * PITCH_MM - 1.3
        yield stand.line(
            (0, across), (deep, across), stroke=LINE.light, stroke_width=0.3, stroke_dasharray="1 3"
        )
    if panel.row.length_mm:
        end = panel.row.length_mm
        yield stand.line(
            (end, 0), (end, wide), stroke=WARN.light, stroke_width=1.2, stroke_dasharray="5 2"
        )
    yield stand.line((0, 0), (0, wide), stroke=INK.light, stroke_width=1.6)


def draw_opening(panel: Panel, stand: Stand, number: int) -> Iterator[str]:
    """The chassis' opening at one position, with the bracket or blanking plate in it."""
    across, openings = number * PITCH_MM + 1.2, panel.row.openings
    known, there = openings is not None, openings is None or number < openings
    seat = next((s for s in panel.seats if number in s.positions), None)
    if there:
        yield stand.box(
            -5.5,
            across,
            4,
            PITCH_MM - 3.8,
            fill=SOFT.light if seat else PAPER.light,
            stroke=SOFT.light,
            stroke_width=0.7,
            stroke_dasharray=None if known else "2 1.5",
        )


def draw_seat(
    panel: Panel, stand: Stand, receptacle: ReceptacleView, seat: SeatView
) -> Iterator[str]:
    """The card's body; a dashed end where its length is not known."""
    body, line = seat.body, hue(panel, receptacle)[0]
    known = body is not None and body.length_mm is not None
    length = (body.length_mm or 0) if body and known else WORDS_AT_MM + 20
    pitches = max(len(seat.positions), 1)
    across = receptacle.position * PITCH_MM + 0.6
    below = health(seat) in ("below", "dark")
    yield stand.box(
        -5.5,
        across,
        length + 5.5,
        pitches * PITCH_MM - AIR_MM,
        fill=CARD.light,
        stroke=WARN.light if below else line.light,
        stroke_width=1.5 if below else 1,
        stroke_dasharray=None if known and body and body.thickness else "3 2",
        rx=1.2,
    )
    yield stand.box(-5.5, across, 4, pitches * PITCH_MM - AIR_MM, fill=SOFT.light)
    for extra in range(1, pitches):
        yield stand.box(
            6,
            across + extra * PITCH_MM - 1,
            length - 12,
            PITCH_MM - AIR_MM - 2,
            fill=f"url(#{panel.prefix}thick)",
        )


def draw_empty(stand: Stand, receptacle: ReceptacleView) -> Iterator[str]:
    """A dashed outline where a card could be."""
    if receptacle.state == "covered" or receptacle.form == "opening":
        return
    across = receptacle.position * PITCH_MM + 1.2
    yield stand.box(
        2,
        across,
        CONNECTOR_AT_MM + housing_mm(receptacle),
        PITCH_MM - 4,
        fill="none",
        stroke=LINE.light,
        stroke_width=0.7,
        stroke_dasharray="3 2.5",
        rx=1.2,
    )
