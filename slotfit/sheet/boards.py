"""A comparison of boards as one HTML page that needs nothing but itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from slotfit.answers.compare.answer import CompareAnswer, RankedBoard
from slotfit.answers.compare.text import (
    demand,
    hangs_on,
    legend,
    place,
    remarks,
    seat_in,
    table,
    to_mind,
    with_plan,
)
from slotfit.answers.names import MARKS, live_text, marks_of
from slotfit.draw.boards import boards_svg
from slotfit.sheet.html_page import html_page

MOST_DRAWN = 6
"""So many boards are drawn; a picture of more is no help."""


@dataclass(frozen=True, slots=True)
class BoardCell:
    """One part on one board; without a place it is left out there."""

    place: str = ""
    marks: str = ""
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PartRow:
    """One part on every board."""

    item: str
    cells: tuple[BoardCell, ...]

    @property
    def differs(self) -> bool:
        """Whether it trains, hangs or is served otherwise on some board."""
        return len({(bool(one.place), one.marks, one.lines) for one in self.cells}) > 1


def as_page(answer: CompareAnswer) -> str:
    """The whole page."""
    values = {"shown": boards_values(answer)}
    return html_page("compare.html", ["compare.css"], values)


def boards_values(answer: CompareAnswer) -> dict[str, object]:
    """What `boards.html` lays out."""
    boards = with_plan(answer)
    head, rows = table(answer, boards)
    picture = boards_svg(answer, boards[:MOST_DRAWN], "b-")
    return {
        "answer": answer,
        "boards": boards,
        "totals_head": head,
        "totals_rows": rows,
        "totals_note": legend(boards),
        "parts": tuple(parts(answer, boards)),
        "marks": MARKS,
        "picture": Markup(picture),  # noqa: S704 - escaped there
        "drawn": MOST_DRAWN,
        "undrawn": len(boards) > MOST_DRAWN,
        "said": [(board, [*remarks(board.tried)]) for board in boards],
        "to_mind": to_mind(answer),
    }


def parts(answer: CompareAnswer, boards: Sequence[RankedBoard]) -> Iterator[PartRow]:
    """A row a part."""
    for part, _ in answer.plan.parts:
        yield PartRow(part, tuple(cell_of(board, part) for board in boards))


def cell_of(board: RankedBoard, part: str) -> BoardCell:
    """Place, link, demand met, processor."""
    seat = seat_in(board, part)
    if seat is None:
        return BoardCell()
    lines = tuple(text for text in (live_text(seat), demand(seat), hangs_on(seat)) if text)
    return BoardCell(place(board, seat), marks_of(seat), lines)
