"""The words of a slot row: the slots' names at the rear edge, two lines beside each connector."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import groupby

from slotfit.answers.place.answer import SeatView
from slotfit.answers.place.cables import able_words, class_words, health, link_words
from slotfit.answers.place.layout import ReceptacleView
from slotfit.draw.row_measure import (
    AIR_MM,
    CABLE_MM,
    CONNECTOR_AT_MM,
    FLAT_LABEL_MM,
    LABEL_MM,
    WORDS_AT_MM,
    Panel,
    Stand,
    hue,
)
from slotfit.draw.svg import (
    BODY,
    CARD,
    CHARACTER_EM,
    INK,
    LINE,
    NAME,
    NAME_MM,
    PAPER,
    ROOM,
    SMALL_MM,
    SOFT,
    WARN,
    Pen,
    badge,
    fits,
    markup,
    tag,
    width_of,
    words,
    wrap,
)
from slotfit.standards.cem import CONNECTORS, PITCH_MM

BAR_MM = 8.0
"""Height of the drawn connector, a little more than life so that its lanes can be told."""
POWER_MM = 14.0
"""The contacts before the key, which bring power; about, from memory."""

Run = tuple[str, int, int]
"""State, first lane, lanes."""


def housing_mm(receptacle: ReceptacleView) -> float:
    """Length of the connector; of the widest one if nobody has said."""
    width = receptacle.width if receptacle.width in CONNECTORS else 16
    return CONNECTORS[width or 16].housing_mm


def lane_states(receptacle: ReceptacleView, seat: SeatView | None) -> list[str]:
    """For each lane of the connector: used | given | elsewhere | unwired | unknown."""
    width, wired = receptacle.width or 16, receptacle.wired
    given = {n for start, lanes, _ in receptacle.segments for n in range(start, start + lanes)}
    used = {
        n for link in (seat.links if seat else ()) for n in range(link.at, link.at + link.lanes)
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


def runs_of(receptacle: ReceptacleView, states: list[str]) -> Iterator[Run]:
    """Neighbouring lanes of one state, broken where a segment begins."""
    starts = {start for start, _, _ in receptacle.segments}

    def key(lane: int) -> tuple[str, int]:
        return states[lane], max((start for start in starts if start <= lane), default=-1)

    for (state, _), lanes in groupby(range(len(states)), key):
        every = list(lanes)
        yield state, every[0], len(every)


FILLS = {
    "used": INK.light,
    "given": CARD.light,
    "elsewhere": "url(#{}elsewhere)",
    "unwired": BODY.light,
    "unknown": "url(#{}unknown)",
}


def connector(
    stand: Stand,
    prefix: str,
    receptacle: ReceptacleView,
    seat: SeatView | None,
    at: tuple[float, float],
) -> Iterator[str]:
    """The connector with its middle at (along, across)."""
    along, middle = at
    across, length = middle - BAR_MM / 2, housing_mm(receptacle)
    states = lane_states(receptacle, seat)
    pitch = (length - POWER_MM) / len(states)
    yield stand.box(
        along, across, length, BAR_MM, fill=BODY.light, stroke=INK.light, stroke_width=0.7
    )
    powered = receptacle.state not in ("unpowered", "not known")
    yield stand.box(
        along + 1.2,
        across + 1.4,
        POWER_MM - 3.6,
        BAR_MM - 2.8,
        fill=(LINE.light if seat else CARD.light) if powered else "none",
        stroke=LINE.light if powered else WARN.light,
        stroke_width=0.6,
    )
    for state, first, lanes in runs_of(receptacle, states):
        start, deep = along + POWER_MM + first * pitch, lanes * pitch
        yield stand.box(
            start,
            across + 0.9,
            deep - 0.7,
            BAR_MM - 1.8,
            fill=FILLS[state].format(prefix),
            stroke=LINE.light if state == "unwired" else INK.light,
            stroke_width=0.5,
            stroke_dasharray="1 1" if state == "unwired" else None,
        )
        if state in ("used", "given") and deep >= 9:
            tone = PAPER if state == "used" else INK
            pen = Pen(5.6, tone, bold=True, anchor="middle")
            yield stand.write(start + deep / 2 - 0.3, middle + 2, f"x{lanes}", pen)
    if receptacle.open_end:
        yield stand.line(
            (along + length, across + 0.6),
            (along + length, across + BAR_MM - 0.6),
            stroke=PAPER.light,
            stroke_width=1.4,
        )


def processor_words(panel: Panel, receptacle: ReceptacleView) -> str:
    """`CPU 1`."""
    if not receptacle.processor:
        return "no lanes"
    key = (receptacle.machine, receptacle.processor)
    return panel.nesting.labels.get(key, receptacle.processor)


def draw_label(panel: Panel, stand: Stand, receptacle: ReceptacleView) -> Iterator[str]:
    """The slot's name and the processor it hangs on, outside the rear edge."""
    line, fill, pattern = hue(panel, receptacle)
    across = receptacle.position * PITCH_MM
    deep = LABEL_MM if stand.name == "tower" else FLAT_LABEL_MM
    wide = PITCH_MM - 2
    yield stand.box(
        -8 - deep, across, deep, wide, fill=fill.light, stroke=line.light, stroke_width=0.6
    )
    yield stand.box(-11.5, across, 3.5, wide, fill=pattern, stroke=line.light, stroke_width=0.6)
    under = processor_words(panel, receptacle)
    if stand.name == "tower":
        if fits(deep - 8, NAME_MM * 1.04) >= len(receptacle.label):
            yield stand.write(-6 - deep, across + 8, receptacle.label, NAME, deep - 8)
            yield stand.write(-6 - deep, across + 15.8, under, Pen(tone=line), deep - 8)
            return
        for number, text in enumerate(wrap(receptacle.label, LONG_NAME, 2)):
            yield stand.write(-6 - deep, across + 5.6 + 5.4 * number, text, Pen(LONG_MM, bold=True))
        yield stand.write(-6 - deep, across + 16.6, under, Pen(LONG_MM, line), deep - 8)
        return
    x, y = stand.point(-12, across + wide / 2)
    for number, text in enumerate(wrap(in_short_words(receptacle.label), COLUMN, 3)):
        pen = Pen(narrow(text, wide), bold=True, anchor="middle")
        yield words(x, y + 7 + 7 * number, text, pen)
    yield words(x, y + deep - 5.5, under, Pen(narrow(under, wide), line, anchor="middle"), wide)


LONG_MM, LONG_NAME = 5.2, 16
"""Size of a name that goes into two lines beside the row, and characters of such a line."""

COLUMN = 6
"""Characters of a name that stand side by side where the row lies flat."""


def in_short_words(label: str) -> str:
    """A name whose every word goes into the column: `SLOT 7 CHIP SET`."""
    words_of = COUNTED.sub(r"\1 \2", label).split()
    return " ".join(piece for word in words_of for piece in pieces(word))


def pieces(word: str) -> list[str]:
    """A word in equal parts of at most a column."""
    count = -(-len(word) // COLUMN)
    size = -(-len(word) // count)
    return [word[at : at + size] for at in range(0, len(word), size)]


COUNTED = re.compile(r"([A-Za-z]{4,})(\d+)")
"""A name with its number, which may go into the next line where there is little room."""


def narrow(text: str, wide: float) -> float:
    """The size at which the text goes into a column, down to what can still be read."""
    ems = sum(map(em_of, text))
    return min(SMALL_MM, max(wide / max(ems, 1), 5.0))


def em_of(letter: str) -> float:
    """About how wide a letter of a usual bold font is, against its size."""
    if letter.isupper():
        return 0.68
    return 0.28 if letter == " " else CHARACTER_EM


def draw_words(
    panel: Panel, stand: Stand, receptacle: ReceptacleView, seat: SeatView | None
) -> Iterator[str]:
    """Two lines beside the connector: what it is, and how it trains."""
    across = receptacle.position * PITCH_MM
    room = panel.length_mm - WORDS_AT_MM - 4 - CABLE_MM * len(panel.lines)
    if seat is None:
        yield from empty_words(stand, receptacle, room)
        return
    name = Pen(NAME_MM, bold=True, halo=CARD)
    yield stand.write(WORDS_AT_MM, across + 8.2, seat.item, name, room)
    kind, used = class_words(seat.part_class), width_of(seat.item, NAME_MM) + 5
    body = (seat.body.length_mm if seat.body else None) or room
    beyond = width_of(seat.item, NAME_MM) > body - WORDS_AT_MM  # then the kind would stand apart
    fit = used + width_of(kind, SMALL_MM) < room and not beyond
    if fit and kind not in ("other", seat.item):
        pen = Pen(tone=SOFT, halo=CARD)
        yield stand.write(WORDS_AT_MM + used, across + 8.2, kind, pen)
    bad = health(seat) in ("below", "dark")
    pen = Pen(tone=WARN if bad else INK, halo=CARD)
    parts = second_line(panel, receptacle, seat)
    while len(parts) > 1 and width_of("; ".join(parts), SMALL_MM) > room:
        parts.pop()
    yield stand.write(WORDS_AT_MM, across + 15.9, "; ".join(parts), pen, room)


def second_line(panel: Panel, receptacle: ReceptacleView, seat: SeatView) -> list[str]:
    """How it trains, what it holds, what to know of it; what matters most comes first."""
    able = able_words(seat)
    parts = [link_words(seat) + (f", {able}" if able else "")]
    held = sum(1 for r, s in panel.nesting.below(seat.item) if s and r.form != "cooling-mount")
    if held:
        parts.append(f"holds {held}")
    if receptacle.from_ and receptacle.from_ != receptacle.processor:
        parts.append(f"via {receptacle.from_}")
    if seat.far:
        near = (seat.near or "").rpartition("/")[2]
        parts.append(f"far from {panel.nesting.labels.get((seat.machine, near), near)}")
    if seat.facts:
        parts.append(f"rests on {len(seat.facts)} unproven")
    return parts


def empty_words(stand: Stand, receptacle: ReceptacleView, room: float) -> Iterator[str]:
    """What an empty slot is, and what arrives in it."""
    across = receptacle.position * PITCH_MM
    ground = CARD if receptacle.state == "covered" else ROOM
    tone = SOFT if receptacle.state in ("free", "covered") else WARN
    second = receptacle.why or receptacle.gets
    if receptacle.form == "opening":
        second = "an opening for a bracket, no connector"
    elif not receptacle.lanes_known:
        second = f"{receptacle.gets}, if it is wired so: nobody has said"
    first = Pen(NAME_MM, tone, bold=True, halo=ground)
    yield stand.write(WORDS_AT_MM, across + 8.2, receptacle.state, first, room)
    yield stand.write(WORDS_AT_MM, across + 15.9, second, Pen(tone=SOFT, halo=ground), room)


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
