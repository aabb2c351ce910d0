"""A comparison of boards as one HTML page that needs nothing but itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from slotfit.answers.compare.answer import BoardView, Comparison, legend, table
from slotfit.answers.compare.text import (
    MARKS,
    demand,
    hangs_on,
    link,
    marks,
    more,
    place,
    seat_in,
    to_mind,
)
from slotfit.draw.boards import boards_svg
from slotfit.sheet.html_page import html_page

MOST_DRAWN = 6
"""So many boards are drawn; a picture of more is no help."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One part on one board; without a place it is left out there."""

    place: str = ""
    marks: str = ""
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One part on every board."""

    item: str
    cells: tuple[Cell, ...]

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
        "parts": tuple(parts(comparison, boards)),
        "marks": MARKS,
        "picture": Markup(picture),  # noqa: S704 - escaped there
        "drawn": MOST_DRAWN,
        "undrawn": len(boards) > MOST_DRAWN,
        "said": [(board, [*more(board)]) for board in boards],
        "to_mind": [*to_mind(comparison)],
    }


def parts(comparison: Comparison, boards: Sequence[BoardView]) -> Iterator[Row]:
    """A row a part."""
    for item, _ in comparison.items:
        yield Row(item, tuple(cell_of(board, item) for board in boards))


def cell_of(board: BoardView, item: str) -> Cell:
    """Place, link, demand met, processor."""
    seat = seat_in(board, item)
    if seat is None:
        return Cell()
    lines = tuple(text for text in (link(seat), demand(seat), hangs_on(seat)) if text)
    return Cell(place(board, seat), marks(seat), lines)
