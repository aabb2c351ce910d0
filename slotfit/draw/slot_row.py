"""
The slot row as SVG, one drawing for every machine of the plan.

Widths, pitches and lengths are true to one another (1 unit = 1 mm); the distance from the rear
edge to the connectors is not, so that there is room for words.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from slotfit.answers.names import cable_words
from slotfit.answers.place.answer import PlaceAnswer, PlannedMachine, PlannedRow
from slotfit.answers.place.layout import PlanLayout, layout_of, merged
from slotfit.draw import svg
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
from slotfit.draw.svg import Page, Pen
from slotfit.listing import listed

SWATCH_MM = 15.0
ROW_MM = 11.0

KEY: tuple[tuple[str, str, dict[str, object]], ...] = (
    ("used", "lanes in use", {"fill": svg.INK}),
    ("given", "lanes there, idle", {"fill": svg.CARD}),
    ("elsewhere", "lanes wired but not given here", {}),
    (
        "unwired",
        "contacts without lanes",
        {"fill": svg.BODY, "stroke": svg.LINE, "stroke_dasharray": "1 1"},
    ),
    ("unknown", "lanes nobody has confirmed", {}),
    ("power", "power contacts, in use", {"fill": svg.LINE, "stroke": svg.LINE}),
    (
        "below",
        "card slower than it could be",
        {"fill": svg.CARD, "stroke": svg.WARN, "stroke_width": 1.5},
    ),
    ("empty", "empty slot", {"fill": "none", "stroke": svg.LINE, "stroke_dasharray": "3 2.5"}),
    ("thick", "covered by a thick card", {}),
    ("letter", "end of a cable", {}),
)
"""Each mark, what it means, and how it looks; one without a fill has a pattern of its own name."""


def draw_key(sheet: Sheet) -> None:
    """The marks side by side as far as they go."""
    sheet.heading("How to read it")
    x, y = MARGIN_MM, sheet.y + 2
    for kind, says, look in KEY:
        room = sheet.wide - 2 * MARGIN_MM - SWATCH_MM - 4
        need = SWATCH_MM + 4 + min(svg.width_of(says, svg.SMALL_MM), room) + 8
        if x + need > sheet.wide and x > MARGIN_MM:
            x, y = MARGIN_MM, y + ROW_MM
        base = {"fill": f"url(#{sheet.prefix}{kind})", "stroke": svg.INK, "stroke_width": 0.6}
        mark = svg.rect(x, y, SWATCH_MM, 7, **(base | look))
        if kind == "letter":
            mark = svg.badge(x + SWATCH_MM / 2, y + 3.5, "A")
        sheet.add([mark, svg.words(x + SWATCH_MM + 3, y + 6, says, svg.FAINT, room)])
        x += need
    sheet.y = y + ROW_MM


NARROWEST_MM = 184.0
TILE_MM = 160.0
"""Least width of a tile where several stand side by side."""


def slot_row_svg(
    answer: PlaceAnswer,
    stand: StandName = "flat",
    prefix: str = "",
    no_plan: Sequence[str] = (),
) -> str:
    """
    The whole drawing. `prefix` keeps its ids apart where several are in one page.

    `no_plan`: why there is none and what would help, a paragraph each.
    """
    layout = layout_of(answer.plan, answer.do.cables)
    panels = [*panels_of(layout, prefix)]
    sheet = Sheet(width_of_sheet(panels, stand), prefix)
    if answer.verdict.headline and not answer.plan.seats:
        sheet.heading(f"{answer.verdict.headline}.")
    for line in no_plan:
        sheet.paragraph(line)
    for machine in answer.plan.machines:
        own = [panel for panel in panels if panel.receptacles[0].machine == machine.id]
        draw_machine(sheet, layout, machine, own, stand)
    draw_key(sheet)
    places = (
        f"{one.label}: {one.item or one.state}" for one in answer.plan.receptacles if one.on_board
    )
    says = f"{STAND_WORDS[stand]} {'; '.join(places)}."  # for those who cannot see it
    page = Page(f"Slot row: {answer.title}", says, sheet.wide, sheet.y + MARGIN_MM, prefix)
    return svg.document(page, patterns(prefix), sheet.elements)


def panels_of(layout: PlanLayout, prefix: str) -> Iterator[Panel]:
    """A panel for each row that has receptacles."""
    for row in layout.plan.rows:
        own = tuple(one for one in layout.on.get(row.owner, ()) if one.row == row.id)
        if own:
            yield Panel(row, own, layout, prefix)


def width_of_sheet(panels: list[Panel], stand: StandName) -> float:
    """Wide enough for the widest row."""
    if stand == "tower":
        widths = [panel.length_mm + LABEL_MM + 12 for panel in panels] or [NARROWEST_MM * 2]
    else:
        widths = [panel.width_mm for panel in panels]
    return max([*widths, NARROWEST_MM]) + 2 * MARGIN_MM


def draw_machine(
    sheet: Sheet,
    layout: PlanLayout,
    machine: PlannedMachine,
    panels: list[Panel],
    stand: StandName,
) -> None:
    """One machine: its rows, then the tiles."""
    invented = " (invented)" if machine.invented else ""
    sheet.heading(f"{machine.name}: {machine.board_name}{invented}")
    if panels:
        sheet.paragraph(STAND_WORDS[stand])
    for panel in panels:
        if panel.row.owner != machine.id:
            place = layout.seat[panel.row.owner]
            sheet.heading(f"Row on {place.item}, in {place.label}")
        room_words(sheet, panel.row)
        draw_row(sheet, panel, stand)
    draw_rest(sheet, layout, [machine], panels)


def room_words(sheet: Sheet, row: PlannedRow) -> None:
    """What the chassis leaves."""
    said = []
    if rooms := list(card_rooms(row)):
        said.append(f"Dashed line: the chassis takes cards up to {', '.join(rooms)}.")
    if row.openings is not None:
        said.append(f"{row.openings} bracket openings.")
    if said:
        sheet.paragraph(" ".join(said))


def card_rooms(row: PlannedRow) -> Iterator[str]:
    """`300 mm long`, `200 mm at openings 2 and 3`."""
    if row.card_length_mm:
        yield f"{row.card_length_mm:g} mm long"
    places: dict[float, list[str]] = {}
    for position, mm in row.card_length_at:
        places.setdefault(mm, []).append(str(position))
    for mm, at in places.items():
        word = "opening" if len(at) == 1 else "openings"
        yield f"{mm:g} mm at {word} {listed(at)}"


def draw_row(sheet: Sheet, panel: Panel, stand: StandName) -> None:
    """A panel at the sheet's next place, and which side of the machine is where."""
    pen = Pen(tone=svg.SOFT, bold=True)
    if stand == "tower":
        across, left = sheet.y + 9, MARGIN_MM + LABEL_MM + 8
        front = replace(pen, anchor="end")
        sheet.add([svg.words(left - 12, sheet.y + 6, "rear", replace(pen, anchor="start"))])
        sheet.add([svg.words(left + panel.length_mm, sheet.y + 6, "front of the machine", front)])
        sheet.add(draw_panel(panel, Stand(stand, left, across)))
        sheet.y = across + panel.width_mm + 4
        return
    rear, middle = sheet.y + panel.length_mm + 9, replace(pen, anchor="middle")
    sheet.add([svg.words(sheet.wide / 2, sheet.y + 6, "front of the machine", middle)])
    sheet.add(draw_panel(panel, Stand(stand, (sheet.wide - panel.width_mm) / 2, rear)))
    sheet.y = rear + FLAT_LABEL_MM + 20
    sheet.add([svg.words(sheet.wide / 2, sheet.y, "rear of the machine", middle)])


def draw_rest(
    sheet: Sheet, layout: PlanLayout, machines: Sequence[PlannedMachine], panels: Sequence[Panel]
) -> None:
    """What is off the rows and in their parts, and the cables."""
    off_row = [
        tile_of_receptacle(layout, one)
        for machine in machines
        for one in merged(place for place in layout.board(machine.id) if place.row is None)
    ]
    draw_tiles(sheet, "On the board, off the row", off_row)
    inside = [tile_of_part(layout, one) for panel in panels for one in panel.receptacles]
    draw_tiles(sheet, "Inside the parts of the row", [tile for tile in inside if tile])
    ids = [machine.id for machine in machines]
    cables = [cable for cable in layout.cables if cable.machine in ids]
    if cables:
        sheet.heading("Cables (write the letter on a flag at both ends)")
    for cable in cables:
        sheet.paragraph(f"{cable.letter}: {cable_words(cable)}")


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
