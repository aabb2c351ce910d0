"""
The slot row as SVG, one drawing for every machine of the view.

Widths, pitches and lengths are true to one another (1 unit = 1 mm); the distance from the rear
edge to the connectors is not, so that there is room for words.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from slotfit.render.cables_of import CableView, cables_of
from slotfit.render.drawn_text import markup
from slotfit.render.layout_view import RowView
from slotfit.render.nesting import Nesting, board_receptacles, merged, nesting_of
from slotfit.render.palette import (
    FONT,
    INK,
    LINE,
    PAPER,
    PROCESSORS,
    SOFT,
    WARN,
    dark_rules,
)
from slotfit.render.row_key import draw_key
from slotfit.render.row_measure import FLAT_LABEL_MM, LABEL_MM, Panel
from slotfit.render.row_panel import draw_panel
from slotfit.render.row_tiles import (
    GAP_MM,
    Tile,
    draw_tile,
    tile_of_part,
    tile_of_receptacle,
)
from slotfit.render.stands import STAND_WORDS, Stand, StandName
from slotfit.render.svg import FAINT, NAME_MM, SMALL_MM, Pen, fits, tag, words
from slotfit.render.view import MachineView, View

MARGIN_MM = 6.0
NARROWEST_MM = 184.0
TILE_MM = 150.0
"""Least width of a tile where several stand side by side."""


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


def slot_row_svg(view: View, stand: StandName = "flat", prefix: str = "") -> str:
    """The whole drawing. `prefix` keeps its ids apart where several are in one page."""
    nesting = nesting_of(view)
    cables = cables_of(view, nesting)
    panels = [
        (
            machine,
            [p for p in panels_of(view, nesting, cables, prefix) if p.row.machine == machine.id],
        )
        for machine in view.machines
    ]
    sheet = Sheet(width_of_sheet([p for _, row in panels for p in row], stand), prefix)
    if view.headline and not view.seats:
        sheet.paragraph(f"{view.headline}.")
    for machine, rows in panels:
        draw_machine(sheet, view, nesting, cables, (machine, rows), stand)
    sheet.heading("How to read it")
    sheet.y = draw_key(sheet.elements, prefix, sheet.y, sheet.wide, MARGIN_MM)
    return document(view, sheet, stand)


def panels_of(
    view: View, nesting: Nesting, cables: tuple[CableView, ...], prefix: str
) -> Iterator[Panel]:
    """A panel for each row that has receptacles."""
    for row in view.rows:
        own = tuple(r for r in view.receptacles if (r.owner, r.row) == (row.owner, row.id))
        if own:
            yield Panel(row, own, nesting, cables, prefix)


def width_of_sheet(panels: list[Panel], stand: StandName) -> float:
    """Wide enough for the widest row."""
    if stand == "tower":
        widths = [panel.length_mm + LABEL_MM + 12 for panel in panels] or [NARROWEST_MM * 2]
    else:
        widths = [panel.width_mm for panel in panels]
    return max([*widths, NARROWEST_MM]) + 2 * MARGIN_MM


def draw_machine(
    sheet: Sheet,
    view: View,
    nesting: Nesting,
    cables: tuple[CableView, ...],
    machine_rows: tuple[MachineView, list[Panel]],
    stand: StandName,
) -> None:
    """One machine: its rows, then the tiles."""
    machine, rows = machine_rows
    sheet.heading(
        f"{machine.name}: {machine.board_name}" + (" (invented)" if machine.invented else "")
    )
    if rows:
        sheet.paragraph(STAND_WORDS[stand])
    for panel in rows:
        if panel.row.owner != machine.id:
            place = nesting.seat[panel.row.owner]
            sheet.heading(f"Row on {place.item}, in {place.label}")
        room_words(sheet, panel.row)
        draw_row(sheet, panel, stand)
    own = board_receptacles(view, machine)
    off_row = merged([receptacle for receptacle in own if receptacle.row is None])
    in_parts = [
        tile
        for panel in rows
        for r in panel.receptacles
        if r.item and (tile := tile_of_part(nesting, cables, nesting.seat[r.item], r))
    ]
    tiles = [tile_of_receptacle(nesting, cables, receptacle) for receptacle in off_row]
    draw_tiles(sheet, "On the board, off the row", tiles)
    draw_tiles(sheet, "Inside the parts of the row", in_parts)
    draw_cables(sheet, [cable for cable in cables if cable.machine == machine.id])


def room_words(sheet: Sheet, row: RowView) -> None:
    """What the chassis leaves."""
    said = []
    if row.length_mm:
        said.append(f"Dashed line: the chassis takes cards up to {row.length_mm:g} mm long.")
    if row.openings is not None:
        said.append(f"{row.openings} bracket openings.")
    if said:
        sheet.paragraph(" ".join(said))


def draw_row(sheet: Sheet, panel: Panel, stand: StandName) -> None:
    """A panel at the sheet's next place."""
    if stand == "tower":
        across, left = sheet.y + 9, MARGIN_MM + LABEL_MM + 8
        right = left + panel.length_mm
        sheet.add([edge(left - 12, sheet.y + 6, "rear", "start")])
        sheet.add([edge(right, sheet.y + 6, "front of the machine", "end")])
        sheet.add(draw_panel(panel, Stand(stand, left, across)))
        sheet.y = across + panel.width_mm + 4
        return
    rear = sheet.y + panel.length_mm + 9
    left, middle = (sheet.wide - panel.width_mm) / 2, sheet.wide / 2
    sheet.add([edge(middle, sheet.y + 6, "front of the machine", "middle")])
    sheet.add(draw_panel(panel, Stand(stand, left, rear)))
    sheet.y = rear + FLAT_LABEL_MM + 20
    sheet.add([edge(middle, sheet.y, "rear of the machine", "middle")])


def edge(x: float, y: float, text: str, anchor: str) -> str:
    """Which side of the machine is there."""
    return words(x, y, text, Pen(tone=SOFT, anchor=anchor, bold=True))


def draw_tiles(sheet: Sheet, title: str, tiles: list[Tile]) -> None:
    """Tiles in as many columns as there is room for, each below the shortest."""
    if not tiles:
        return
    sheet.heading(title)
    usable = sheet.wide - 2 * MARGIN_MM
    columns = max(int((usable + GAP_MM) // (TILE_MM + GAP_MM)), 1)
    wide = (usable - GAP_MM * (columns - 1)) / columns
    ends = [sheet.y] * columns
    for tile in tiles:
        column = ends.index(min(ends))
        sheet.add(draw_tile(tile, MARGIN_MM + column * (wide + GAP_MM), ends[column], wide))
        ends[column] += tile.height_mm(wide) + GAP_MM
    sheet.y = max(ends)


def draw_cables(sheet: Sheet, cables: list[CableView]) -> None:
    """Each cable's letter with both its ends."""
    if not cables:
        return
    sheet.heading("Cables (write the letter on a flag at both ends)")
    for cable in cables:
        sheet.paragraph(f"{cable.letter}: {cable.words}")


def document(view: View, sheet: Sheet, stand: StandName) -> str:
    """The SVG with its title, description, patterns and styles."""
    high = sheet.y + MARGIN_MM
    prefix = sheet.prefix
    name, says = f"{prefix}name", f"{prefix}says"
    inside = (
        tag("title", markup(f"Slot row: {view.title}"), id=name),
        tag("desc", markup(described(view, stand)), id=says),
        tag("style", dark_rules()),
        tag("defs", *patterns(prefix)),
        tag("rect", x=0, y=0, width=sheet.wide, height=high, fill=PAPER.light),
        *sheet.elements,
    )
    return tag(
        "svg",
        *inside,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {sheet.wide:.2f} {high:.2f}",
        width=f"{sheet.wide * 2:.0f}",
        height=f"{high * 2:.0f}",
        role="img",
        aria_labelledby=f"{name} {says}",
        font_family=FONT,
    )


def described(view: View, stand: StandName) -> str:
    """The picture in words, for those who cannot see it."""
    places = []
    for receptacle in view.receptacles:
        if receptacle.on_board:
            what = receptacle.item or receptacle.state
            places.append(f"{receptacle.label}: {what}")
    return f"{STAND_WORDS[stand]} {'; '.join(places)}."


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
