"""The words of a slot row: the slots' names at the rear edge, two lines beside each connector."""

from __future__ import annotations

import re
from collections.abc import Iterator

from slotfit.render.drawn_text import wrap
from slotfit.render.layout_view import ReceptacleView
from slotfit.render.palette import CARD, INK, ROOM, SOFT, WARN
from slotfit.render.row_measure import CABLE_MM, FLAT_LABEL_MM, LABEL_MM, WORDS_AT_MM, Panel, hue
from slotfit.render.seat_words import able_words, class_words, health, link_words
from slotfit.render.stands import Stand
from slotfit.render.svg import CHARACTER_EM, NAME, NAME_MM, SMALL_MM, Pen, fits, width_of, words
from slotfit.render.view import SeatView
from slotfit.standards.cem import PITCH_MM


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
