"""A comparison of boards for a terminal of 80 columns."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence

from slotfit.answers.compare.answer import (
    UNTRIED,
    BoardView,
    Comparison,
    LeftView,
    OutlookView,
    legend,
    table,
)
from slotfit.answers.place.answer import SeatView
from slotfit.answers.text_layout import WIDTH, bullet, columns, fill, gb_s, heading

LEFT_OUT = "left out"

MARKS = (
    ("!", "short of demand"),
    ("@", "on another processor than it should be"),
    ("?", "rests on something unproven"),
)


def seats(board: BoardView) -> tuple[SeatView, ...]:
    """Its seats, if it has any."""
    return board.view.seats if board.view else ()


def seat_in(board: BoardView, item: str) -> SeatView | None:
    """Where the board has the part."""
    return next((seat for seat in seats(board) if seat.item == item), None)


def place(board: BoardView, seat: SeatView) -> str:
    """`SLOT 3`, `m2a of cache`, and the machine where there are several."""
    several = board.view is not None and len(board.view.machines) > 1
    machine = f"{seat.machine} " if several and not seat.depth else ""
    return f"{machine}{seat.label}" + (f" of {seat.owner}" if seat.depth else "")


def short_place(board: BoardView, seat: SeatView) -> str:
    """`SLOT 3`, `cache/m2a`, `north/SLOT 3` where there are several machines."""
    several = board.view is not None and len(board.view.machines) > 1
    return f"{seat.owner}/{seat.label}" if seat.depth or several else seat.label


def link(seat: SeatView) -> str:
    """`16 GT/s x8`, `4 of 4 live`, nothing for power only."""
    if not seat.links:
        return ""
    alive = [one for one in seat.links if one.lanes]
    if len(seat.links) > 1:
        return f"{len(alive)} of {len(seat.links)} live"
    return seat.links[0].text


def short_link(seat: SeatView) -> str:
    """`16GT x8`, `4/4 live`."""
    return link(seat).replace(" GT/s", "GT").replace(" of ", "/")


def demand(seat: SeatView) -> str:
    """What of its demand is met: `6.2 of 12.8 GB/s`, `3.2 GB/s`, nothing where it has none."""
    wanted = seat.wanted_in_mb_s + seat.wanted_out_mb_s
    if not wanted:
        return ""
    met = f"{gb_s(wanted - seat.short_mb_s)} of " if seat.short_mb_s else ""
    return f"{met}{gb_s(wanted)} GB/s"


def hangs_on(seat: SeatView) -> str:
    """`cpu1 via chipset`; empty if it takes no lanes, or takes those of what it sits on."""
    if seat.processor is None or seat.depth:
        return ""
    return seat.processor + (f" via {seat.hub}" if seat.hub else "")


def marks(seat: SeatView) -> str:
    """`!`, `@`, `?`: see MARKS."""
    short = seat.short_mb_s or seat.shared_short_mb_s
    said = ("!" if short else "", "@" if seat.far else "", "?" if seat.facts else "")
    return "".join(said)


def cell(board: BoardView, item: str) -> str:
    """The part there in one line: `SLOT 2 8GT x8 cpu0 !`, `cache/m2a 16GT x4`."""
    seat = seat_in(board, item)
    if seat is None:
        return LEFT_OUT
    on = hangs_on(seat).partition(" ")[0]
    words = (short_place(board, seat), short_link(seat), on, marks(seat))
    return " ".join(word for word in words if word)


TOLD = (
    ("bandwidth", "short, in GB/s both ways added", ", "),
    ("dark-endpoints", "dark", "; "),
    ("locality", "far", "; "),
    ("cooling", "without air", "; "),
    ("unproven-facts", "rests on", "; "),
)
"""Preference, how its causes are introduced, and what stands between them."""


def more(board: BoardView) -> Iterator[str]:
    """What has no place, where it is short, what is left there, what was not carried over."""
    for one in board.missing:
        yield f"no place for {one.item}: {one.why}"
    for stage, word, between in TOLD:
        told = [cause.text for cause in board.causes if cause.stage == stage]
        if told:
            yield f"{word}: {between.join(told)}"
    yield f"still free: {'; '.join(map(free, board.left)) or NOTHING_FREE}"
    if board.outlook:
        yield outlook(board.outlook)
    if board.fitted < board.sockets:
        yield f"{board.fitted} of {board.sockets} processors fitted"
    yield from board.notes
    if board.invented:
        yield "an archetype or an invention, not your board: its manual decides"


NOTHING_FREE = "no receptacle of the board that gets lanes"


def free(left: LeftView) -> str:
    """`2 of cem x16 with 16 GT/s x16 (SLOT1, SLOT2)`."""
    count = f"{len(left.labels)} of " if len(left.labels) > 1 else ""
    return f"{count}{left.form} with {left.gets} ({', '.join(left.labels)})"


def outlook(found: OutlookView) -> str:
    """Which of the likely futures it takes."""
    groups = (
        ("takes", found.fits),
        ("does not take", found.fails),
        ("open, as time ran out", found.open),
    )
    told = "; ".join(f"{word} {', '.join(names)}" for word, names in groups if names)
    return f"{found.share:.0%} of the likely futures by weight: {told}"


def to_mind(comparison: Comparison) -> Iterator[str]:
    """What holds for all boards, and what nobody has looked at."""
    yield from comparison.notes
    yield "today's layout counts for nothing here, on no board"
    yield "the base load is taken to be the same on every board"
    yield (
        "compared are slots, lanes, room and power; whether your processors, memory and coolers "
        "fit another board is for its manual to say"
    )


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
