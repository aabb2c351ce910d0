"""Several boards side by side on one scale, as SVG: their slot rows and what is on and in them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from slotfit.answers.compare.answer import CompareAnswer, RankedBoard
from slotfit.answers.compare.text import cell
from slotfit.answers.place.answer import View
from slotfit.answers.place.cables import (
    CableView,
    Nesting,
    board_receptacles,
    cables_of,
    merged,
    nesting_of,
)
from slotfit.draw.picture import as_png
from slotfit.draw.row_measure import MARGIN_MM, STAND_WORDS, Panel, Sheet, patterns
from slotfit.draw.row_tiles import Tile, tile_of_part, tile_of_receptacle
from slotfit.draw.slot_row import (
    draw_cables,
    draw_key,
    draw_row,
    draw_tiles,
    panels_of,
    room_words,
    width_of_sheet,
)
from slotfit.draw.svg import LINE, Page, document, tag
from slotfit.files import write_file

ABREAST = 3
"""So many boards stand beside one another; further ones below."""
BETWEEN_MM = 10.0


@dataclass(frozen=True)
class BoardColumn:
    """One board, and the sheet that it is drawn on."""

    board: RankedBoard
    view: View
    nesting: Nesting
    cables: tuple[CableView, ...]
    panels: tuple[Panel, ...]
    sheet: Sheet


def write_boards(answer: CompareAnswer, file: Path) -> None:
    """All boards that have an answer, as .svg or .png. Raises InputError for a bad path."""
    svg = boards_svg(answer, answer.plan.boards)
    write_file(file, as_png(svg, file) if file.suffix.lower() == ".png" else svg)


def boards_svg(answer: CompareAnswer, boards: Sequence[RankedBoard], prefix: str = "") -> str:
    """The drawing. `prefix` keeps its ids apart where several are in one page."""
    columns = [column for board in boards if (column := column_of(board, prefix))]
    bands = [columns[start : start + ABREAST] for start in range(0, len(columns), ABREAST)]
    wide = max([width_of(band) for band in bands], default=2 * MARGIN_MM)
    page = Sheet(wide, prefix)
    page.paragraph(f"All boards on one scale. {STAND_WORDS['flat']}")
    for band in bands:
        draw_band(page, band)
    page.heading("How to read it")
    page.y = draw_key(page.elements, prefix, page.y, page.wide, MARGIN_MM)
    title = f"{answer.title}: {len(columns)} boards side by side"
    says = described(answer, columns)
    return document(
        Page(title, says, page.wide, page.y + MARGIN_MM, prefix), patterns(prefix), page.elements
    )


def column_of(board: RankedBoard, prefix: str) -> BoardColumn | None:
    """A board's column; None if it has no plan to draw."""
    if board.tried.plan is None:
        return None
    view = board.tried.plan.answer
    nesting = nesting_of(view)
    cables = cables_of(view, nesting)
    panels = tuple(panels_of(view, nesting, cables, prefix))
    sheet = Sheet(width_of_sheet([*panels], "flat"), prefix)
    return BoardColumn(board, view, nesting, cables, panels, sheet)


def width_of(band: Sequence[BoardColumn]) -> float:
    """How wide the boards of a band are together."""
    return sum(column.sheet.wide for column in band) + BETWEEN_MM * (len(band) - 1)


def draw_band(page: Sheet, band: Sequence[BoardColumn]) -> None:
    """Boards abreast: heads, then rows with their rear edges in one line, then the rest."""
    for column in band:
        draw_head(column)
    lowest = max(column.sheet.y for column in band)
    deepest = max((panel.length_mm for column in band for panel in column.panels[:1]), default=0)
    for column in band:
        column.sheet.y = lowest
        draw_board(column, deepest)
    high = max(column.sheet.y for column in band)
    left = 0.0
    for column in band:
        at = f"translate({left:.2f} {page.y:.2f})"
        page.add([tag("g", *column.sheet.elements, transform=at)])
        left += column.sheet.wide + BETWEEN_MM
        if column is not band[-1]:
            x = left - BETWEEN_MM / 2
            page.add([line_down(x, page.y + MARGIN_MM, page.y + high)])
    page.y += high + MARGIN_MM


def line_down(x: float, top: float, bottom: float) -> str:
    """What parts two boards."""
    return tag("line", x1=x, y1=top, x2=x, y2=bottom, stroke=LINE.light, stroke_width=0.6)


def draw_head(column: BoardColumn) -> None:
    """Place, name and verdict."""
    board = column.board
    invented = " (invented)" if board.tried.invented else ""
    column.sheet.heading(f"{board.rank}. {board.tried.name}{invented}")
    column.sheet.paragraph(f"{board.verdict}.")
    if column.panels:
        room_words(column.sheet, column.panels[0].row)


def draw_board(column: BoardColumn, deepest: float) -> None:
    """The rows, and tiles for what is off them and in them."""
    sheet, nesting = column.sheet, column.nesting
    for number, panel in enumerate(column.panels):
        if number:
            sheet.heading(f"Row {panel.row.id} of {panel.row.owner}")
            room_words(sheet, panel.row)
        else:
            sheet.y += deepest - panel.length_mm
        draw_row(sheet, panel, "flat")
    draw_tiles(sheet, "On the board, off the row", [*off_the_row(column)])
    in_parts = [
        tile
        for panel in column.panels
        for r in panel.receptacles
        if r.item and (tile := tile_of_part(nesting, column.cables, nesting.seat[r.item], r))
    ]
    draw_tiles(sheet, "Inside the parts of the row", in_parts)
    draw_cables(sheet, [*column.cables])


def off_the_row(column: BoardColumn) -> Iterator[Tile]:
    """Sockets and ports of the boards that stand in no row."""
    for machine in column.view.machines:
        own = board_receptacles(column.view, machine)
        for receptacle in merged([one for one in own if one.row is None]):
            yield tile_of_receptacle(column.nesting, column.cables, receptacle)


def described(answer: CompareAnswer, columns: Sequence[BoardColumn]) -> str:
    """The picture in words, for those who cannot see it."""
    told = []
    for column in columns:
        places = (f"{item}: {cell(column.board, item)}" for item, _ in answer.plan.parts)
        told.append(f"{column.board.tried.name}: {'; '.join(places)}.")
    return " ".join(told)
