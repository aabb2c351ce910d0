"""A comparison of boards for a terminal, for programs, and for a spreadsheet."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
from collections.abc import Iterable, Iterator, Sequence

from slotfit.render.text_layout import bullet, columns, fill, heading
from slotfit.render.view import SCHEMA_VERSION, SeatView, View
from slotfit.render.words import gb_s

SIDE_BY_SIDE = 3
"""So many boards fit beside one another in a terminal; more get a line each."""


@dataclasses.dataclass(frozen=True, slots=True)
class BoardView:
    """One board's result, ready to be laid out."""

    name: str
    board: str
    invented: bool
    processors: int
    place: int
    """1 is best; 0 if it has no answer."""
    complete: bool
    verdict: str
    dominated_by: str | None
    stages: tuple[tuple[str, int], ...]
    missing: tuple[str, ...]
    left: tuple[str, ...]
    power_left_w: float | None
    price: float | None
    notes: tuple[str, ...]
    robustness: float | None
    view: View | None


@dataclasses.dataclass(frozen=True, slots=True)
class Comparison:
    """All boards, best first."""

    build: str
    title: str
    boards: tuple[BoardView, ...]


def as_text(comparison: Comparison) -> str:
    """Ranking, table, and a verdict for each board."""
    return "\n".join(line.rstrip() for line in lines(comparison)) + "\n"


def lines(comparison: Comparison) -> Iterator[str]:
    """Top down."""
    yield f"{comparison.title}: the same parts on {len(comparison.boards)} boards"
    yield from heading("Best first")
    for board in comparison.boards:
        number = f"{board.place}." if board.place else "-"
        yield from bullet(f"{number} {board.name}: {board.verdict}", hang=7)
    placed = [board for board in comparison.boards if board.view]
    for start in range(0, len(placed) if len(placed) <= 2 * SIDE_BY_SIDE else 0, SIDE_BY_SIDE):
        yield from part_table(placed[start : start + SIDE_BY_SIDE])
    yield from totals(placed)
    for board in comparison.boards:
        yield from more(board)


def part_table(boards: Sequence[BoardView]) -> Iterator[str]:
    """Part by part: seat and link on each board."""
    yield from heading("Part by part (! short of demand, ? rests on something unproven)")
    items = list(dict.fromkeys(seat.item for board in boards for seat in seats(board)))
    rows = [(item, *(cell(board, item) for board in boards)) for item in items]
    yield from columns(("part", *(board.name for board in boards)), rows)


def seats(board: BoardView) -> tuple[SeatView, ...]:
    """Its seats, if it has any."""
    return board.view.seats if board.view else ()


def cell(board: BoardView, item: str) -> str:
    """Where one part sits there, and how."""
    for seat in seats(board):
        if seat.item == item:
            link = short_link(seat)
            marks = ("!" if seat.short_mb_s or seat.shared_short_mb_s else "") + (
                "?" if seat.facts else ""
            )
            return " ".join(word for word in (seat.label, link, marks) if word)
    return "left out"


def short_link(seat: SeatView) -> str:
    """`16GT x8`, `4/4 live`, nothing for power only."""
    if not seat.links:
        return ""
    alive = [link for link in seat.links if link.lanes]
    if len(seat.links) > 1:
        return f"{len(alive)}/{len(seat.links)} live"
    return seat.links[0].text.replace(" GT/s", "GT")


def totals(boards: Sequence[BoardView]) -> Iterator[str]:
    """A line a board: the preferences' values, and what is left."""
    if not boards:
        return
    yield from heading("Totals")
    stages = list(dict.fromkeys(name for board in boards for name, _ in board.stages))
    names = {"bandwidth": "GB/s short", "unproven-facts": "unproven", "dark-endpoints": "dark"}
    head = ("board", *(names.get(stage, stage) for stage in stages), "W left")
    rows = [(board.name, *values(board, stages), watts_left(board)) for board in boards]
    yield from columns(head, rows)


def values(board: BoardView, stages: Iterable[str]) -> Iterator[str]:
    """One value a stage."""
    known = dict(board.stages)
    for stage in stages:
        value = known.get(stage)
        yield "-" if value is None else gb_s(value) if stage == "bandwidth" else str(value)


def watts_left(board: BoardView) -> str:
    """What the supply has left."""
    return "?" if board.power_left_w is None else f"{board.power_left_w:g}"


def more(board: BoardView) -> Iterator[str]:
    """What is left over there, and what was not carried over."""
    if not (board.left or board.notes or board.missing):
        return
    yield from heading(board.name)
    if board.missing:
        yield from bullet(f"no room for: {', '.join(board.missing)}")
    if board.left:
        yield from bullet(f"still free: {'; '.join(board.left)}")
    if board.robustness is not None:
        yield from bullet(f"takes {board.robustness:.0%} of the likely futures by weight")
    for note in board.notes:
        yield from bullet(f"not carried over: {note}")
    if board.invented:
        yield from fill("An archetype, not your board: check your manual.", "  - ")


def as_json(comparison: Comparison) -> str:
    """One object; each board with its whole view."""
    data = {"schema_version": SCHEMA_VERSION, **dataclasses.asdict(comparison)}
    return json.dumps(data, indent=2, ensure_ascii=False) + "\n"


def as_csv(comparison: Comparison) -> str:
    """A row a board and part, for a spreadsheet."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(["board", "place", "part", "receptacle", "link", "short_mb_s", "processor"])
    for board in comparison.boards:
        for seat in seats(board):
            short = seat.short_mb_s + seat.shared_short_mb_s
            link = short_link(seat)
            row = [
                board.name,
                board.place,
                seat.item,
                seat.label,
                link,
                short,
                seat.processor or "",
            ]
            writer.writerow([unformula(value) for value in row])
    return out.getvalue()


def unformula(value: str | int) -> str | int:
    """A text that a spreadsheet would take for a formula gets an apostrophe in front."""
    return f"'{value}" if isinstance(value, str) and value[:1] in "=+-@" and value else value
