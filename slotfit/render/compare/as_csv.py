"""A comparison of boards as a table for a spreadsheet: a row a board and part."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from slotfit.render.compare.cells import LEFT_OUT, link, place, seat_in
from slotfit.render.compare.view import BoardView, Comparison

HEAD = (
    *("board", "place", "part", "what", "receptacle", "link", "wanted_mb_s", "short_mb_s"),
    *("shared_short_mb_s", "processor", "hub", "far", "unproven_facts", "why_left_out"),
)

FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What a text may not begin with: a spreadsheet would work it out."""


def as_csv(comparison: Comparison) -> str:
    """
    Every board with every part; a board that could not be tried has one row.

    RFC 4180, with a header; megabytes per second, in and out added.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(HEAD)
    for board in comparison.boards:
        for row in rows(comparison, board):
            writer.writerow([harmless(value) for value in row])
    return out.getvalue()


def rows(comparison: Comparison, board: BoardView) -> Iterator[tuple[str | int, ...]]:
    """One board's rows."""
    start = (board.name, board.place or "")
    if board.view is None:
        yield (*start, *[""] * (len(HEAD) - 3), board.mistake or board.verdict)
        return
    missing = {one.item: one.why for one in board.missing}
    for item, what in comparison.items:
        seat = seat_in(board, item)
        if seat is None:
            why = missing.get(item, LEFT_OUT)
            yield (*start, item, what, *[""] * (len(HEAD) - 5), why)
            continue
        yield (
            *start,
            *(item, what, place(board, seat), link(seat)),
            *(seat.wanted_in_mb_s + seat.wanted_out_mb_s, seat.short_mb_s, seat.shared_short_mb_s),
            *(seat.processor or "", seat.hub or "", int(seat.far), len(seat.facts), ""),
        )


def harmless(value: str | int) -> str | int:
    """A text that a spreadsheet would take for a formula gets an apostrophe in front."""
    return f"'{value}" if isinstance(value, str) and value.startswith(FORMULA) else value
