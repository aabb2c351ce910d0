"""Parts off the row, and what sits inside parts: tiles of receptacles with what they hold."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slotfit.answers.names import able_words, health, link_words
from slotfit.answers.place.answer import PlannedReceptacle, PlannedSeat
from slotfit.answers.place.layout import PlanLayout, nested_rows
from slotfit.draw import svg
from slotfit.draw.svg import Pen, Tone
from slotfit.listing import in_short

LINE_MM = 13.0
SECOND_MM = 8.0
HEAD_MM = 12.0
GAP_MM = 6.0


@dataclass(frozen=True, slots=True)
class TileEntry:
    """One receptacle in a tile."""

    socket: str
    name: str
    says: str
    depth: int
    seat: PlannedSeat | None
    letter: str = ""

    @property
    def is_bad(self) -> bool:
        """Whether a link came up below its ability, or not at all."""
        return self.seat is not None and health(self.seat) in ("below", "dark")

    def socket_mm(self, wide: float) -> float:
        """Length of the drawn socket."""
        return min(max(svg.width_of(self.socket, svg.SMALL_MM) + 5, 18.0), wide * 0.45)

    def words_mm(self, wide: float) -> float:
        """Room for its words, the cable's letter left out."""
        inner = wide - 8 * self.depth
        return inner - self.socket_mm(inner) - 6 - (11 if self.letter else 0)

    def height_mm(self, wide: float) -> float:
        """Two lines where name and link do not go into one."""
        need = (
            svg.width_of(self.name, svg.NAME_MM * svg.BOLD)
            + svg.width_of(self.says, svg.SMALL_MM)
            + 4
        )
        return LINE_MM if need <= self.words_mm(wide) or not self.says else LINE_MM + SECOND_MM


@dataclass(frozen=True, slots=True)
class Tile:
    """A title with its entries."""

    title: str
    beside: str
    tones: tuple[Tone, Tone]
    entries: tuple[TileEntry, ...]

    def height_mm(self, wide: float) -> float:
        """How much room it needs where it is so wide."""
        return HEAD_MM + sum(entry.height_mm(wide - 6) for entry in self.entries) + 2


def tile_of_part(layout: PlanLayout, place: PlannedReceptacle) -> Tile | None:
    """What the part in a slot holds; nothing if it holds nothing worth a word."""
    entries = tuple(entries_on(layout, place.item, 0)) if place.item else ()
    if not entries:
        return None
    tones = svg.processor_tones(layout.processor(place.machine, place.processor)[0])
    return Tile(f"Inside {place.item}", f"in {place.label}", tones, entries)


def tile_of_receptacle(layout: PlanLayout, place: PlannedReceptacle) -> Tile:
    """A receptacle of the board that stands in no row."""
    seat = layout.seat.get(place.item or "")
    number, label = layout.processor(place.machine, place.processor)
    via = f" via {place.from_}" if place.from_ and place.from_ != place.processor else ""
    entries = [entry_of(layout, place, seat, 0)]
    if seat:
        entries += entries_on(layout, seat.item, 1)
    return Tile(place.form_title, f"{label}{via}", svg.processor_tones(number), tuple(entries))


def entries_on(layout: PlanLayout, part: str, depth: int) -> Iterator[TileEntry]:
    """Everything a part holds, but for rows, which are drawn as rows of their own."""
    for places, seat, deep in nested_rows(layout, part, depth, rows_too=False):
        if seat:
            yield entry_of(layout, places[0], seat, deep)
        else:
            why = next((place.why for place in places if place.why), "")
            labels = in_short(place.label for place in places)
            yield TileEntry(labels, places[0].state, why, deep, None)


def entry_of(
    layout: PlanLayout, place: PlannedReceptacle, seat: PlannedSeat | None, depth: int
) -> TileEntry:
    """One receptacle and what is in it."""
    if seat is None:
        says = place.why or (place.gets if place.segments else "")
        says += "" if place.lanes_known else ", if it is wired so"
        return TileEntry(place.label, place.state, says, depth, None)
    whole, able = seat.body.companion_of, able_words(seat)
    name = f"to {whole}" if whole else seat.item
    says = link_words(seat) + (f", {able}" if able else "")
    letter = next((cable.letter for cable in layout.cables if cable.item == seat.item), "")
    return TileEntry(place.label, name, says, depth, seat, letter)


def draw_tile(tile: Tile, x: float, y: float, wide: float) -> Iterator[str]:
    """A tile with its top left corner at (x, y)."""
    line, fill = tile.tones
    frame = {"fill": svg.CARD, "stroke": line, "stroke_width": 0.8, "rx": 1.5}
    yield svg.rect(x, y, wide, tile.height_mm(wide), **frame)
    yield svg.rect(x + 0.4, y + 0.4, wide - 0.8, HEAD_MM - 2, fill=fill)
    left = wide - 9 - svg.width_of(tile.title, svg.NAME_MM * svg.BOLD)
    beside = min(svg.width_of(tile.beside, svg.SMALL_MM), max(wide * 0.35, left))
    pen = Pen(svg.NAME_MM, line, bold=True)
    yield svg.words(x + 3, y + 7.8, tile.title, pen, wide - beside - 9)
    pen = Pen(tone=svg.SOFT, anchor="end")
    yield svg.words(x + wide - 3, y + 7.8, tile.beside, pen, beside + 3)
    below = y + HEAD_MM
    for entry in tile.entries:
        yield from draw_entry(entry, x + 3, below, wide - 6)
        below += entry.height_mm(wide - 6)


def draw_entry(entry: TileEntry, x: float, y: float, wide: float) -> Iterator[str]:
    """A socket, the part in it, its link at the right or below, the cable's letter behind it."""
    high, room = entry.height_mm(wide) - LINE_MM, entry.words_mm(wide)
    x, inner = x + 8 * entry.depth, wide - 8 * entry.depth
    socket = entry.socket_mm(inner)
    ground, ink = (svg.INK, svg.CARD) if entry.seat else (svg.CARD, svg.INK)
    box = {"fill": ground, "stroke": svg.INK, "stroke_width": 0.6}
    yield svg.rect(x, y + 2.4, socket, 8.2, **box)
    pen = Pen(6.2, ink, anchor="middle")
    yield svg.words(x + socket / 2, y + 8.7, entry.socket, pen, socket - 2)
    look = {
        "fill": svg.WARN_FILL if entry.is_bad else "none",
        "stroke": svg.WARN if entry.is_bad else svg.LINE,
        "stroke_width": 0.7,
        "stroke_dasharray": None if entry.seat else "2 2",
        "rx": 1.2,
    }
    yield svg.rect(x + socket, y + 0.9, inner - socket, 11.2 + high, **look)
    x, y = x + socket + 3, y + 8.8
    beside = 0 if high or not entry.says else svg.width_of(entry.says, svg.SMALL_MM)
    pen = Pen(svg.NAME_MM - 0.4, svg.INK if entry.seat else svg.SOFT, bold=bool(entry.seat))
    yield svg.words(x, y, entry.name, pen, room - beside)
    tone = svg.WARN if entry.is_bad else svg.SOFT
    if high:
        yield svg.words(x, y + high, entry.says, Pen(tone=tone), room)
    else:
        yield svg.words(x + room, y, entry.says, Pen(tone=tone, anchor="end"), room)
    if entry.letter:
        yield svg.badge(x + room + 8, y - 2.3, entry.letter)
