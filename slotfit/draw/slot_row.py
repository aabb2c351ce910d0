"""
The slot row as SVG, one drawing for every machine of the view.

Widths, pitches and lengths are true to one another (1 unit = 1 mm); the distance from the rear
edge to the connectors is not, so that there is room for words.
"""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.answers.place.answer import MachineView, View
from slotfit.answers.place.cables import (
    CableView,
    Nesting,
    board_receptacles,
    cables_of,
    merged,
    nesting_of,
)
from slotfit.answers.place.layout import RowView
from slotfit.draw.row_measure import (
    FLAT_LABEL_MM,
    LABEL_MM,
    MARGIN_MM,
    STAND_WORDS,
    Panel,
    Sheet,
    Stand,
    StandName,
    patterns,
)
from slotfit.draw.row_panel import draw_panel
from slotfit.draw.row_tiles import GAP_MM, Tile, draw_tile, tile_of_part, tile_of_receptacle
from slotfit.draw.svg import (
    BODY,
    CARD,
    FAINT,
    INK,
    LINE,
    SMALL_MM,
    SOFT,
    WARN,
    Page,
    Pen,
    badge,
    document,
    tag,
    width_of,
    words,
)

SWATCH_MM = 15.0
ROW_MM = 11.0

KEY: tuple[tuple[str, str], ...] = (
    ("used", "lanes in use"),
    ("given", "lanes there, idle"),
    ("elsewhere", "lanes wired but not given here"),
    ("unwired", "contacts without lanes"),
    ("unknown", "lanes nobody has confirmed"),
    ("power", "power contacts, in use"),
    ("below", "card below its ability"),
    ("empty", "empty slot"),
    ("thick", "covered by a thick card"),
    ("letter", "end of a cable"),
)


def swatch(kind: str, prefix: str, x: float, y: float) -> Iterator[str]:
    """A sample of one mark, its top left corner at (x, y)."""
    look: dict[str, object] = {"fill": "none", "stroke": INK.light, "stroke_width": 0.6}
    match kind:
        case "used":
            look["fill"] = INK.light
        case "given":
            look["fill"] = CARD.light
        case "elsewhere" | "unknown" | "thick":
            look["fill"] = f"url(#{prefix}{kind})"
        case "unwired":
            look |= {"fill": BODY.light, "stroke": LINE.light, "stroke_dasharray": "1 1"}
        case "power":
            look |= {"fill": LINE.light, "stroke": LINE.light}
        case "below":
            look |= {"fill": CARD.light, "stroke": WARN.light, "stroke_width": 1.5}
        case "empty":
            look |= {"stroke": LINE.light, "stroke_dasharray": "3 2.5"}
        case _:
            yield badge(x + SWATCH_MM / 2, y + 3.5, "A")
            return
    yield tag("rect", x=x, y=y, width=SWATCH_MM, height=7, **look)


def draw_key(elements: list[str], prefix: str, y: float, wide: float, margin: float) -> float:
    """The marks side by side as far as they go; returns where they end."""
    x, y = margin, y + 2
    for kind, says in KEY:
        room = wide - 2 * margin - SWATCH_MM - 4
        need = SWATCH_MM + 4 + min(width_of(says, SMALL_MM), room) + 8
        if x + need > wide and x > margin:
            x, y = margin, y + ROW_MM
        elements += swatch(kind, prefix, x, y)
        elements.append(words(x + SWATCH_MM + 3, y + 6, says, FAINT, room))
        x += need
    return y + ROW_MM


NARROWEST_MM = 184.0
TILE_MM = 150.0
"""Least width of a tile where several stand side by side."""


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
    says = described(view, stand)
    return document(
        Page(f"Slot row: {view.title}", says, sheet.wide, sheet.y + MARGIN_MM, prefix),
        patterns(prefix),
        sheet.elements,
    )


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


def described(view: View, stand: StandName) -> str:
    """The picture in words, for those who cannot see it."""
    places = []
    for receptacle in view.receptacles:
        if receptacle.on_board:
            what = receptacle.item or receptacle.state
            places.append(f"{receptacle.label}: {what}")
    return f"{STAND_WORDS[stand]} {'; '.join(places)}."
