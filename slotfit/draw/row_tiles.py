"""Parts off the row, and what sits inside parts: tiles of receptacles with what they hold."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slotfit.answers.place.answer import SeatView
from slotfit.answers.place.cables import CableView, Nesting, able_words, health, link_words
from slotfit.answers.place.layout import ReceptacleView
from slotfit.draw.svg import (
    CARD,
    INK,
    LINE,
    NAME_MM,
    SMALL_MM,
    SOFT,
    WARN,
    WARN_FILL,
    Pen,
    Tone,
    badge,
    processor_tones,
    tag,
    width_of,
    words,
)
from slotfit.listing import in_short

LINE_MM = 13.0
SECOND_MM = 8.0
HEAD_MM = 12.0
GAP_MM = 6.0
BESIDE = Pen(tone=SOFT, anchor="end")
DEEPEST = 6


@dataclass(frozen=True, slots=True)
class Entry:
    """One receptacle in a tile."""

    socket: str
    name: str
    says: str
    depth: int
    seat: SeatView | None
    letter: str = ""

    def socket_mm(self, wide: float) -> float:
        """Length of the drawn socket."""
        return min(max(width_of(self.socket, SMALL_MM) + 5, 18.0), wide * 0.45)

    def words_mm(self, wide: float) -> float:
        """Room for its words, the cable's letter left out."""
        inner = wide - 8 * self.depth
        return inner - self.socket_mm(inner) - 6 - (11 if self.letter else 0)

    def height_mm(self, wide: float) -> float:
        """Two lines where name and link do not go into one."""
        need = width_of(self.name, NAME_MM) + width_of(self.says, SMALL_MM) + 4
        return LINE_MM if need <= self.words_mm(wide) or not self.says else LINE_MM + SECOND_MM


@dataclass(frozen=True, slots=True)
class Tile:
    """A title with its entries."""

    title: str
    beside: str
    tones: tuple[Tone, Tone]
    entries: tuple[Entry, ...]

    def height_mm(self, wide: float) -> float:
        """How much room it needs where it is so wide."""
        return HEAD_MM + sum(entry.height_mm(wide - 6) for entry in self.entries) + 2


def tones_of(nesting: Nesting, receptacle: ReceptacleView) -> tuple[Tone, Tone]:
    """Line and fill of the processor that the receptacle hangs on."""
    number = nesting.processors.get((receptacle.machine, receptacle.processor or ""))
    return (LINE, CARD) if number is None else processor_tones(number)


def tile_of_part(
    nesting: Nesting, cables: tuple[CableView, ...], seat: SeatView, place: ReceptacleView
) -> Tile | None:
    """What a part in the row holds; nothing if it holds nothing worth a word."""
    entries = tuple(entries_on(nesting, cables, seat.item, 0))
    if not entries:
        return None
    return Tile(f"Inside {seat.item}", f"in {place.label}", tones_of(nesting, place), entries)


def tile_of_receptacle(
    nesting: Nesting, cables: tuple[CableView, ...], place: ReceptacleView
) -> Tile:
    """A receptacle of the board that stands in no row."""
    seat = nesting.seat.get(place.item or "")
    label = nesting.labels.get((place.machine, place.processor or ""), place.processor or "")
    entries = [entry_of(cables, place, seat, 0)]
    if seat:
        entries += entries_on(nesting, cables, seat.item, 1)
    via = f" via {place.from_}" if place.from_ and place.from_ != place.processor else ""
    return Tile(place.form_title, f"{label}{via}", tones_of(nesting, place), tuple(entries))


def entries_on(
    nesting: Nesting, cables: tuple[CableView, ...], item: str, depth: int
) -> Iterator[Entry]:
    """Everything a part holds, deeper things after what holds them; the free ones in one line."""
    free = []
    for place, seat in nesting.below(item):
        if place.row:
            continue  # it is drawn as a row of its own
        if seat is None:
            if place.form not in ("cooling-mount", "opening"):
                free.append(place)
            continue
        yield entry_of(cables, place, seat, depth)
        if depth < DEEPEST and not (seat.body and seat.body.companion_of):
            yield from entries_on(nesting, cables, seat.item, depth + 1)
    for state in dict.fromkeys(place.state for place in free):
        alike = [place for place in free if place.state == state]
        why = next((place.why for place in alike if place.why), "")
        yield Entry(in_short(p.label for p in alike), state, why, depth, None)


def entry_of(
    cables: tuple[CableView, ...], place: ReceptacleView, seat: SeatView | None, depth: int
) -> Entry:
    """One receptacle and what is in it."""
    if seat is None:
        says = place.why or (place.gets if place.segments else "")
        says += "" if place.lanes_known else ", if it is wired so"
        return Entry(place.label, place.state, says, depth, None)
    whole = seat.body.companion_of if seat.body else None
    able = able_words(seat)
    letter = next((cable.letter for cable in cables if cable.item == seat.item), "")
    return Entry(
        place.label,
        f"to {whole}" if whole else seat.item,
        link_words(seat) + (f", {able}" if able else ""),
        depth,
        seat,
        letter,
    )


def draw_tile(tile: Tile, x: float, y: float, wide: float) -> Iterator[str]:
    """A tile with its top left corner at (x, y)."""
    line, fill = tile.tones
    frame = {"fill": CARD.light, "stroke": line.light, "stroke_width": 0.8, "rx": 1.5}
    yield tag("rect", x=x, y=y, width=wide, height=tile.height_mm(wide), **frame)
    yield tag("rect", x=x + 0.4, y=y + 0.4, width=wide - 0.8, height=HEAD_MM - 2, fill=fill.light)
    left = wide - 9 - width_of(tile.title, NAME_MM * 1.04)
    beside = min(width_of(tile.beside, SMALL_MM), max(wide * 0.35, left))
    yield words(x + 3, y + 7.8, tile.title, Pen(NAME_MM, line, bold=True), wide - beside - 9)
    yield words(x + wide - 3, y + 7.8, tile.beside, BESIDE, beside + 3)
    below = y + HEAD_MM
    for entry in tile.entries:
        yield from draw_entry(entry, x + 3, below, wide - 6)
        below += entry.height_mm(wide - 6)


def draw_entry(entry: Entry, x: float, y: float, wide: float) -> Iterator[str]:
    """A socket, the part in it, and its link."""
    high = entry.height_mm(wide) - LINE_MM
    x, inner = x + 8 * entry.depth, wide - 8 * entry.depth
    socket = entry.socket_mm(inner)
    ground, ink = (INK, CARD) if entry.seat else (CARD, INK)
    box = {"fill": ground.light, "stroke": INK.light, "stroke_width": 0.6}
    yield tag("rect", x=x, y=y + 2.4, width=socket, height=8.2, **box)
    pen = Pen(6.2, ink, anchor="middle")
    yield words(x + socket / 2, y + 8.7, entry.socket, pen, socket - 2)
    body = {"x": x + socket, "y": y + 0.9, "width": inner - socket, "height": 11.2 + high}
    yield tag("rect", **body, **looks(entry))
    yield from entry_words(entry, x + socket + 3, y + 8.8, entry.words_mm(wide), high)


def looks(entry: Entry) -> dict[str, object]:
    """The body of what sits there; dashed where nothing does."""
    bad = is_bad(entry)
    return {
        "fill": WARN_FILL.light if bad else "none",
        "stroke": WARN.light if bad else LINE.light,
        "stroke_width": 0.7,
        "stroke_dasharray": None if entry.seat else "2 2",
        "rx": 1.2,
    }


def is_bad(entry: Entry) -> bool:
    """Whether a link came up below its ability, or not at all."""
    return entry.seat is not None and health(entry.seat) in ("below", "dark")


def entry_words(entry: Entry, x: float, y: float, room: float, high: float) -> Iterator[str]:
    """Name at the left, link at the right or below, the cable's letter behind it."""
    name = room if high or not entry.says else room - width_of(entry.says, SMALL_MM)
    pen = Pen(NAME_MM - 0.4, INK, bold=True) if entry.seat else Pen(NAME_MM - 0.4, SOFT)
    yield words(x, y, entry.name, pen, name)
    tone = WARN if is_bad(entry) else SOFT
    if high:
        yield words(x, y + high, entry.says, Pen(tone=tone), room)
    else:
        yield words(x + room, y, entry.says, Pen(tone=tone, anchor="end"), room)
    if entry.letter:
        yield badge(x + room + 8, y - 2.3, entry.letter)
