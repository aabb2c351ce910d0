"""One row of slots: connectors, bodies and cables, and the words beside them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import groupby

from slotfit.answers.names import able_words, class_words, health, link_words
from slotfit.answers.place.answer import PlannedReceptacle, PlannedSeat
from slotfit.draw import svg
from slotfit.draw.row_measure import (
    AIR_MM,
    CABLE_MM,
    CONNECTOR_AT_MM,
    FLAT_LABEL_MM,
    LABEL_MM,
    WORDS_AT_MM,
    Panel,
    Stand,
)
from slotfit.draw.svg import Pen
from slotfit.standards.cem import CONNECTORS, PITCH_MM

BAR_MM = 8.0
"""Height of the drawn connector, a little more than life so that its lanes can be told."""
POWER_MM = 14.0
"""The contacts before the key, which bring power; about, from memory."""

Run = tuple[str, int, int]
"""State, first lane, lanes."""


def housing_mm(receptacle: PlannedReceptacle) -> float:
    """Length of the connector; of the widest one if nobody has said."""
    width = receptacle.width if receptacle.width in CONNECTORS else 16
    return CONNECTORS[width or 16].housing_mm


def lane_states(receptacle: PlannedReceptacle, seat: PlannedSeat | None) -> list[str]:
    """For each lane of the connector: used | given | elsewhere | unwired | unknown."""
    width, wired = receptacle.width or 16, receptacle.wired
    given = {n for start, lanes, _ in receptacle.segments for n in range(start, start + lanes)}
    used = {
        n
        for link in (seat.links if seat else ())
        for n in range(link.at, link.at + link.trains.lanes)
    }
    states = []
    for lane in range(width):
        if lane in used:
            states.append("used")
        elif not receptacle.lanes_known:
            states.append("unknown")
        elif lane in given:
            states.append("given")
        else:
            states.append("elsewhere" if lane < (wired or 0) else "unwired")
    return states


def runs_of(receptacle: PlannedReceptacle, states: list[str]) -> Iterator[Run]:
    """Neighbouring lanes of one state, broken where a segment begins."""
    starts = {start for start, _, _ in receptacle.segments}

    def key(lane: int) -> tuple[str, int]:
        return states[lane], max((start for start in starts if start <= lane), default=-1)

    for (state, _), lanes in groupby(range(len(states)), key):
        every = list(lanes)
        yield state, every[0], len(every)


FILLS: dict[str, svg.Tone | str] = {
    "used": svg.INK,
    "given": svg.CARD,
    "elsewhere": "url(#{}elsewhere)",
    "unwired": svg.BODY,
    "unknown": "url(#{}unknown)",
}


def connector(
    stand: Stand, prefix: str, receptacle: PlannedReceptacle, seat: PlannedSeat | None
) -> Iterator[str]:
    """The slot's connector: contacts for power, then its lanes."""
    middle = receptacle.position * PITCH_MM + PITCH_MM / 2 - 0.6
    along, across, length = CONNECTOR_AT_MM, middle - BAR_MM / 2, housing_mm(receptacle)
    states = lane_states(receptacle, seat)
    pitch = (length - POWER_MM) / len(states)
    frame = {"fill": svg.BODY, "stroke": svg.INK, "stroke_width": 0.7}
    yield stand.box(along, across, length, BAR_MM, **frame)
    powered = receptacle.state not in ("unpowered", "not known")
    fill = (svg.LINE if seat else svg.CARD) if powered else "none"
    edge = {"stroke": svg.LINE if powered else svg.WARN, "stroke_width": 0.6}
    yield stand.box(along + 1.2, across + 1.4, POWER_MM - 3.6, BAR_MM - 2.8, fill=fill, **edge)
    for state, first, lanes in runs_of(receptacle, states):
        start, deep = along + POWER_MM + first * pitch, lanes * pitch
        look = FILLS[state]
        edge = {"stroke": svg.LINE if state == "unwired" else svg.INK, "stroke_width": 0.5}
        yield stand.box(
            start,
            across + 0.9,
            deep - 0.7,
            BAR_MM - 1.8,
            fill=look.format(prefix) if isinstance(look, str) else look,
            **edge,
            stroke_dasharray="1 1" if state == "unwired" else None,
        )
        if state in ("used", "given") and deep >= 9:
            tone = svg.PAPER if state == "used" else svg.INK
            pen = Pen(5.6, tone, bold=True, anchor="middle")
            yield stand.write(start + deep / 2 - 0.3, middle + 2, f"x{lanes}", pen)
    if receptacle.open_end:
        ends = [(along + length, across + at) for at in (0.6, BAR_MM - 0.6)]
        yield stand.line(*ends, stroke=svg.PAPER, stroke_width=1.4)


def draw_label(panel: Panel, stand: Stand, receptacle: PlannedReceptacle) -> Iterator[str]:
    """The slot's name and the processor it hangs on, outside the rear edge."""
    number, called = panel.layout.processor(receptacle.machine, receptacle.processor)
    line, fill = svg.processor_tones(number)
    pattern = svg.PAPER if number is None else f"url(#{panel.prefix}cpu{number % 4})"
    under = called or "no lanes"
    across, wide = receptacle.position * PITCH_MM, PITCH_MM - 2
    deep = LABEL_MM if stand.name == "tower" else FLAT_LABEL_MM
    edge = {"stroke": line, "stroke_width": 0.6}
    yield stand.box(-8 - deep, across, deep, wide, fill=fill, **edge)
    yield stand.box(-11.5, across, 3.5, wide, fill=pattern, **edge)
    if stand.name == "tower":
        if svg.fits(deep - 8, svg.NAME_MM * svg.BOLD) >= len(receptacle.label):
            yield stand.write(-6 - deep, across + 8, receptacle.label, svg.NAME, deep - 8)
            yield stand.write(-6 - deep, across + 15.8, under, Pen(tone=line), deep - 8)
            return
        for place, text in enumerate(svg.wrap(receptacle.label, LONG_NAME, 2)):
            yield stand.write(-6 - deep, across + 5.6 + 5.4 * place, text, Pen(LONG_MM, bold=True))
        yield stand.write(-6 - deep, across + 16.6, under, Pen(LONG_MM, line), deep - 8)
        return
    x, y = stand.point(-12, across + wide / 2)
    lines = svg.wrap(in_short_words(receptacle.label), COLUMN, 4)
    for place, text in enumerate(lines):
        pen = Pen(narrow(text, wide - 1, svg.BOLD), bold=True, anchor="middle")
        yield svg.words(x, y + 6.6 + 5.8 * place, text, pen)
    yield svg.words(x, y + deep - 5.5, under, Pen(narrow(under, wide - 1), line, anchor="middle"))


LONG_MM, LONG_NAME = 5.2, 16
"""Size of a name that goes into two lines beside the row, and characters of such a line."""

COLUMN = 5
"""Characters of a name that stand side by side where the row lies flat."""

COUNTED = re.compile(r"([A-Za-z]{4,})(\d+)")
"""A name with its number, which may go into the next line where there is little room."""


def in_short_words(label: str) -> str:
    """A name whose every word goes into the column, in equal parts: `SLOT 7 CHIP SET`."""
    pieces = []
    for word in COUNTED.sub(r"\1 \2", label).split():
        size = -(-len(word) // -(-len(word) // COLUMN))
        pieces += [word[at : at + size] for at in range(0, len(word), size)]
    return " ".join(pieces)


CAPITAL_EM, SPACE_EM = 0.71, 0.35
"""Of the widest of the usual plain fonts, against its size."""


def narrow(text: str, wide: float, bold: float = 1.0) -> float:
    """The size at which the text goes into a column; `bold`: how much wider its letters are."""
    ems = {True: CAPITAL_EM, False: svg.CHARACTER_EM}
    widths = (SPACE_EM if one == " " else ems[one.isupper()] for one in text)
    return min(svg.SMALL_MM, wide / max(sum(widths) * bold, 1))


def draw_words(
    panel: Panel, stand: Stand, receptacle: PlannedReceptacle, seat: PlannedSeat
) -> Iterator[str]:
    """Two lines: what it is, and how it trains; each on its card, or all of it in front of it."""
    across = receptacle.position * PITCH_MM
    yield from first_line(panel, stand, across + 8.2, seat)
    parts = second_line(panel, receptacle, seat)
    along, room, ground = room_for(panel, seat, svg.width_of("; ".join(parts), svg.SMALL_MM))
    while len(parts) > 1 and svg.width_of("; ".join(parts), svg.SMALL_MM) > room:
        parts.pop()
    tone = svg.WARN if health(seat) in ("below", "dark") else svg.INK
    pen = Pen(tone=tone, halo=ground)
    yield stand.write(along, across + 15.9, "; ".join(parts), pen, room)


def first_line(panel: Panel, stand: Stand, across: float, seat: PlannedSeat) -> Iterator[str]:
    """The part, and the setting to choose for its slot, or what kind of part it is."""
    used = svg.width_of(seat.item, svg.NAME_MM * svg.BOLD)
    along, room, ground = room_for(panel, seat, used)
    yield stand.write(along, across, seat.item, replace(svg.NAME, halo=ground), room)
    kind = class_words(seat.part_class)
    beside = seat.setting or ("" if kind in ("other", seat.item) else kind)
    wide = svg.width_of(beside, svg.SMALL_MM)
    if used + 5 + wide < room:
        pen = Pen(tone=svg.INK if seat.setting else svg.SOFT, halo=ground)
        yield stand.write(along + used + 5, across, beside, pen)
    elif seat.setting and along == WORDS_AT_MM:
        along, room, ground = room_for(panel, seat, wide)
        if along > WORDS_AT_MM:
            yield stand.write(along, across, beside, Pen(halo=ground), room)


def room_for(panel: Panel, seat: PlannedSeat, wide: float) -> tuple[float, float, svg.Tone]:
    """
    Where a line of words begins, how long it may be, and the colour of its ground.

    It stands on the card beside the connector if it goes in there, else in front of the card's
    end, unless there is even less room: no line crosses an edge.
    """
    end = body_mm(seat)
    on_card = end - WORDS_AT_MM - 3
    in_front = panel.length_mm - end - 3 - 4 - CABLE_MM * len(panel.lines)
    if wide <= on_card or on_card >= in_front:
        return WORDS_AT_MM, on_card, svg.CARD
    return end + 3, in_front, svg.ROOM


def body_mm(seat: PlannedSeat) -> float:
    """How long the card is drawn; a stub where nobody has said."""
    return WORDS_AT_MM + 20 if seat.body.length_mm is None else seat.body.length_mm


def words_room(panel: Panel) -> float:
    """How long a line beside a connector may be."""
    return panel.length_mm - WORDS_AT_MM - 4 - CABLE_MM * len(panel.lines)


def second_line(panel: Panel, receptacle: PlannedReceptacle, seat: PlannedSeat) -> list[str]:
    """How it trains, what it holds, what to know of it; what matters most comes first."""
    able = able_words(seat)
    parts = [link_words(seat) + (f", {able}" if able else "")]
    held = sum(1 for r, s in panel.layout.below(seat.item) if s and r.form != "cooling-mount")
    if held:
        parts.append(f"holds {held}")
    if receptacle.from_ and receptacle.from_ != receptacle.processor:
        parts.append(f"via {receptacle.from_}")
    if seat.far:
        near = (seat.near or "").rpartition("/")[2]
        parts.append(f"far from {panel.layout.processor(seat.machine, near)[1]}")
    if seat.facts:
        parts.append(f"rests on {len(seat.facts)} unproven")
    return parts


def empty_words(panel: Panel, stand: Stand, receptacle: PlannedReceptacle) -> Iterator[str]:
    """What an empty slot is, and what arrives in it."""
    across, room = receptacle.position * PITCH_MM, words_room(panel)
    ground = svg.CARD if receptacle.state == "covered" else svg.ROOM
    tone = svg.SOFT if receptacle.state in ("free", "covered") else svg.WARN
    second = receptacle.why or receptacle.gets
    if receptacle.form == "opening":
        second = "an opening for a bracket, no connector"
    elif not receptacle.lanes_known:
        second = f"{receptacle.gets}, if it is wired so: nobody has said"
    first = Pen(svg.NAME_MM, tone, bold=True, halo=ground)
    yield stand.write(WORDS_AT_MM, across + 8.2, receptacle.state, first, room)
    yield stand.write(WORDS_AT_MM, across + 15.9, second, Pen(tone=svg.SOFT, halo=ground), room)


def draw_panel(panel: Panel, stand: Stand) -> Iterator[str]:
    """Everything of one row, from the board up."""
    yield from draw_room(panel, stand)
    for receptacle in panel.receptacles:
        seat = panel.layout.seat.get(receptacle.item or "")
        name = f"{receptacle.label}: {receptacle.item or receptacle.state}"
        inside = [svg.tag("title", svg.markup(name)), *draw_label(panel, stand, receptacle)]
        if seat:
            inside += draw_seat(panel, stand, receptacle, seat)
        elif receptacle.state != "covered" and receptacle.form != "opening":
            inside.append(empty_outline(stand, receptacle))
        if receptacle.form != "opening":
            inside += connector(stand, panel.prefix, receptacle, seat)
        inside += (
            draw_words(panel, stand, receptacle, seat)
            if seat
            else empty_words(panel, stand, receptacle)
        )
        yield svg.tag("g", *inside, data_site=receptacle.site, data_item=receptacle.item)
    lines = panel.lines
    for number, (cable, ends) in enumerate(lines):  # along the front, a disc at every end
        along = panel.length_mm - CABLE_MM * (len(lines) - number) + CABLE_MM / 2
        if len(ends) > 1:
            between = [(along, place(ends)) for place in (min, max)]
            yield stand.line(*between, stroke=svg.INK, stroke_width=1.2)
        for across in ends:
            yield svg.badge(*stand.point(along, across), cable.letter)


def draw_room(panel: Panel, stand: Stand) -> Iterator[str]:
    """The floor of the row, the end of the room for cards, and the chassis' openings."""
    wide, deep = panel.width_mm, panel.length_mm
    yield stand.box(0, 0, deep, wide, fill=svg.ROOM)
    for number in range(1, panel.positions):
        ends = [(at, number * PITCH_MM - 1.3) for at in (0, deep)]
        yield stand.line(*ends, stroke=svg.LINE, stroke_width=0.3, stroke_dasharray="1 3")
    for start, end in room_ends(panel):
        look = {"stroke": svg.WARN, "stroke_width": 1.2, "stroke_dasharray": "5 2"}
        yield stand.line(start, end, **look)
    yield stand.line((0, 0), (0, wide), stroke=svg.INK, stroke_width=1.6)
    openings = panel.row.openings
    for number in range(panel.positions if openings is None else min(openings, panel.positions)):
        taken = any(number in seat.positions for seat in panel.seats)
        look = {"fill": svg.SOFT if taken else svg.PAPER, "stroke": svg.SOFT, "stroke_width": 0.7}
        dashes = "2 1.5" if openings is None else None
        across = number * PITCH_MM + 1.2
        yield stand.box(-5.5, across, 4, PITCH_MM - 3.8, **look, stroke_dasharray=dashes)


Point = tuple[float, float]
"""Millimetres along the cards and across."""


def room_ends(panel: Panel) -> Iterator[tuple[Point, Point]]:
    """Where the room for cards ends, from the first position on, with a step where it changes."""
    before: float | None = None
    start, across = 0.0, 0.0
    for place in range(panel.positions + 1):
        across = place * PITCH_MM
        here = panel.row.room_mm(place) if place < panel.positions else None
        if here == before:
            continue
        if before:
            yield (before, start), (before, across)
        if before and here:
            yield (before, across), (here, across)
        before, start = here, across


def draw_seat(
    panel: Panel, stand: Stand, receptacle: PlannedReceptacle, seat: PlannedSeat
) -> Iterator[str]:
    """The card's body; a dashed end where its length is not known."""
    number, _ = panel.layout.processor(receptacle.machine, receptacle.processor)
    length = body_mm(seat)
    known = seat.body.length_mm is not None and seat.body.thickness
    pitches = max(len(seat.positions), 1)
    across = receptacle.position * PITCH_MM + 0.6
    below = health(seat) in ("below", "dark")
    look = {
        "fill": svg.CARD,
        "stroke": svg.WARN if below else svg.processor_tones(number)[0],
        "stroke_width": 1.5 if below else 1,
        "stroke_dasharray": None if known else "3 2",
        "rx": 1.2,
    }
    yield stand.box(-5.5, across, length + 5.5, pitches * PITCH_MM - AIR_MM, **look)
    yield stand.box(-5.5, across, 4, pitches * PITCH_MM - AIR_MM, fill=svg.SOFT)
    for extra in range(1, pitches):
        beside = across + extra * PITCH_MM - 1
        thick = f"url(#{panel.prefix}thick)"
        yield stand.box(6, beside, length - 12, PITCH_MM - AIR_MM - 2, fill=thick)


def empty_outline(stand: Stand, receptacle: PlannedReceptacle) -> str:
    """A dashed outline where a card could be."""
    across, deep = receptacle.position * PITCH_MM + 1.2, CONNECTOR_AT_MM + housing_mm(receptacle)
    look = {"fill": "none", "stroke": svg.LINE, "stroke_width": 0.7, "stroke_dasharray": "3 2.5"}
    return stand.box(2, across, deep, PITCH_MM - 4, **look, rx=1.2)
