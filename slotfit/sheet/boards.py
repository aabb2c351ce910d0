"""A comparison of boards as one HTML page that needs nothing but itself."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from slotfit.answers.compare import text as told
from slotfit.answers.compare.answer import BoardView, Comparison, legend, table
from slotfit.draw.boards import boards_svg
from slotfit.sheet.html_page import html_page

MOST_DRAWN = 6
"""So many boards are drawn; a picture of more is no help."""


@dataclass(frozen=True, slots=True)
class CellOfBoard:
    """One part on one board; without a place it is left out there."""

    place: str = ""
    marks: str = ""
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RowOfPart:
    """One part on every board."""

    item: str
    cells: tuple[CellOfBoard, ...]

    @property
    def differs(self) -> bool:
        """Whether it trains, hangs or is served otherwise on some board."""
        return len({(bool(one.place), one.marks, one.lines) for one in self.cells}) > 1


def as_page(comparison: Comparison) -> str:
    """The whole page."""
    values = {"shown": boards_values(comparison)}
    return html_page("compare.html", ["compare.css"], values)


def boards_values(comparison: Comparison) -> dict[str, object]:
    """What `boards.html` lays out."""
    boards = [board for board in comparison.boards if board.view]
    head, rows = table(boards)
    picture = boards_svg(comparison, boards[:MOST_DRAWN], "b-")
    return {
        "comparison": comparison,
        "boards": boards,
        "totals_head": head,
        "totals_rows": rows,
        "totals_note": legend(boards),
        "parts": tuple(
            RowOfPart(item, tuple(cell_of(board, item) for board in boards))
            for item, _ in comparison.items
        ),
        "marks": told.MARKS,
        "picture": Markup(picture),  # noqa: S704 - escaped there
        "drawn": MOST_DRAWN,
        "undrawn": len(boards) > MOST_DRAWN,
        "said": [(board, [*told.more(board)]) for board in boards],
        "to_mind": [*told.to_mind(comparison)],
    }


def cell_of(board: BoardView, item: str) -> CellOfBoard:
    """Place, link, demand met, processor."""
    seat = told.seat_in(board, item)
    if seat is None:
        return CellOfBoard()
    lines = tuple(filter(None, (told.link(seat), told.demand(seat), told.hangs_on(seat))))
    return CellOfBoard(told.place(board, seat), told.marks(seat), lines)
