"""Several boards side by side on one scale, as SVG: their slot rows and what is on and in them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from slotfit.answers.compare.answer import CompareAnswer, RankedBoard
from slotfit.answers.compare.text import cell
from slotfit.answers.place.layout import PlanLayout, layout_of
from slotfit.draw import svg
from slotfit.draw.row_measure import MARGIN_MM, STAND_WORDS, Panel, Sheet, patterns
from slotfit.draw.slot_row import (
    draw_key,
    draw_rest,
    draw_row,
    panels_of,
    room_words,
    width_of_sheet,
)

ABREAST = 3
"""So many boards stand beside one another; further ones below."""
BETWEEN_MM = 10.0


@dataclass(frozen=True)
class BoardColumn:
    """One board, and the sheet that it is drawn on."""

    board: RankedBoard
    layout: PlanLayout
    panels: tuple[Panel, ...]
    sheet: Sheet


def boards_svg(answer: CompareAnswer, boards: Sequence[RankedBoard], prefix: str = "") -> str:
    """The drawing. `prefix` keeps its ids apart where several are in one page."""
    columns = [*columns_of(boards, prefix)]
    bands = [columns[start : start + ABREAST] for start in range(0, len(columns), ABREAST)]
    widths = (
        sum(column.sheet.wide for column in band) + BETWEEN_MM * (len(band) - 1) for band in bands
    )
    page = Sheet(max(widths, default=2 * MARGIN_MM), prefix)
    page.paragraph(f"All boards on one scale. {STAND_WORDS['flat']}")
    for band in bands:
        draw_band(page, band)
    draw_key(page)
    title = f"{answer.title}: {len(columns)} boards side by side"
    told = []  # for those who cannot see it
    for column in columns:
        places = (f"{part}: {cell(column.board, part)}" for part, _ in answer.plan.parts)
        told.append(f"{column.board.tried.name}: {'; '.join(places)}.")
    shown = svg.Page(title, " ".join(told), page.wide, page.y + MARGIN_MM, prefix)
    return svg.document(shown, patterns(prefix), page.elements)


def columns_of(boards: Sequence[RankedBoard], prefix: str) -> Iterator[BoardColumn]:
    """A column for each board that has a plan to draw."""
    for board in boards:
        if board.tried.plan:
            placed = board.tried.plan.answer
            layout = layout_of(placed.plan, placed.do.cables)
            panels = [*panels_of(layout, prefix)]
            yield BoardColumn(
                board, layout, tuple(panels), Sheet(width_of_sheet(panels, "flat"), prefix)
            )


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
        page.add([svg.tag("g", *column.sheet.elements, transform=at)])
        left += column.sheet.wide + BETWEEN_MM
        if column is not band[-1]:  # what parts two boards
            x, top, bottom = left - BETWEEN_MM / 2, page.y + MARGIN_MM, page.y + high
            ends = {"x1": x, "y1": top, "x2": x, "y2": bottom}
            page.add([svg.tag("line", **ends, stroke=svg.LINE, stroke_width=0.6)])
    page.y += high + MARGIN_MM


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
    sheet = column.sheet
    for number, panel in enumerate(column.panels):
        if number:
            sheet.heading(f"Row {panel.row.id} of {panel.row.owner}")
            room_words(sheet, panel.row)
        else:
            sheet.y += deepest - panel.length_mm
        draw_row(sheet, panel, "flat")
    draw_rest(sheet, column.layout, column.layout.plan.machines, column.panels)
