"""A comparison of boards for a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.render.compare.cells import MARKS, cell
from slotfit.render.compare.more import more, to_mind
from slotfit.render.compare.totals import legend, table
from slotfit.render.compare.view import UNTRIED, BoardView, Comparison
from slotfit.render.text_layout import WIDTH, bullet, columns, fill, heading

Row = tuple[str, ...]

MOST_TABLED = 4
"""Of so many boards every part is told; of more there are too many to read."""


def as_text(comparison: Comparison) -> str:
    """Ranking, table, totals, and what is to be said of each board."""
    return "\n".join(line.rstrip() for line in lines(comparison)) + "\n"


def lines(comparison: Comparison) -> Iterator[str]:
    """Top down."""
    count = len(comparison.boards)
    yield from fill(
        f"{comparison.title}: the same parts on {count} board{'' if count == 1 else 's'}"
    )
    if comparison.stopped:
        yield "Stopped: only what was done by then is compared."
    answered = [board for board in comparison.boards if board.view]
    yield from best_first(comparison, brief=len(answered) > MOST_TABLED)
    if len(answered) <= MOST_TABLED:
        yield from part_tables(comparison, answered)
    elif answered:
        yield from heading(f"Part by part: name at most {MOST_TABLED} boards to see it")
    if answered:
        yield from totals(answered)
    for board in answered if len(answered) <= MOST_TABLED else answered[:1]:
        yield from heading(board.name)
        for text in more(board):
            yield from bullet(text)
    yield from closing(comparison)


def best_first(comparison: Comparison, *, brief: bool) -> Iterator[str]:
    """Every board that was tried, and the names of those that were not."""
    yield from heading("Best first")
    for board in comparison.boards:
        if board.mistake != UNTRIED:
            yield from ranking(board, brief=brief)
    yield from untried(comparison)


def ranking(board: BoardView, *, brief: bool) -> list[str]:
    """A board's place, name and verdict."""
    number = f"{board.place}. " if board.place else ""
    return bullet(
        f"{number}{board.name}: {board.brief if brief else board.verdict}.", hang=4 + len(number)
    )


def untried(comparison: Comparison) -> list[str]:
    """The boards that Ctrl-C came before."""
    names = [board.name for board in comparison.boards if board.mistake == UNTRIED]
    return bullet(f"not tried: {', '.join(names)}") if names else []


def part_tables(comparison: Comparison, boards: Sequence[BoardView]) -> Iterator[str]:
    """Part by part, as many boards side by side as there is room for."""
    items = [item for item, _ in comparison.items]
    for some in side_by_side(items, boards):
        key = ", ".join(f"{mark} {text}" for mark, text in MARKS)
        yield from heading(f"Part by part ({key})")
        rows = [(item, *(cell(board, item) for board in some)) for item in items]
        yield from columns(("part", *(board.name for board in some)), rows)


def side_by_side(items: Sequence[str], boards: Sequence[BoardView]) -> Iterator[list[BoardView]]:
    """Boards in bunches whose columns fit the terminal, one at least."""
    first = 4 + max((len(item) for item in items), default=0)
    bunch: list[BoardView] = []
    used = first
    for board in boards:
        wide = 2 + max(len(text) for text in (board.name, *(cell(board, item) for item in items)))
        if bunch and used + wide > WIDTH:
            yield bunch
            bunch, used = [], first
        bunch.append(board)
        used += wide
    if bunch:
        yield bunch


def totals(boards: Sequence[BoardView]) -> Iterator[str]:
    """A line a board, in as few tables as fit; what all boards meet in full is left out."""
    yield from heading(f"Totals ({legend(boards, zeros=False)})")
    for head, rows in in_width(*table(boards, zeros=False)):
        yield from columns(head, rows)


def in_width(head: Row, rows: Sequence[Row]) -> Iterator[tuple[Row, list[Row]]]:
    """A table whose columns fit the terminal; where they do not, several with the same first."""
    widths = [2 + max(len(row[place]) for row in (head, *rows)) for place in range(len(head))]
    start = 1
    while start < len(head):
        end = start + 1
        while end < len(head) and widths[0] + sum(widths[start : end + 1]) <= WIDTH:
            end += 1
        yield (head[0], *head[start:end]), [(row[0], *row[start:end]) for row in rows]
        start = end


def closing(comparison: Comparison) -> Iterator[str]:
    """What holds for all of them."""
    yield from heading("To mind")
    for text in to_mind(comparison):
        yield from bullet(text)
