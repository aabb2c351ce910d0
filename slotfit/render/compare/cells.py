"""One part on one board, in the few words that a table has room for."""

from __future__ import annotations

from slotfit.render.compare.view import BoardView
from slotfit.render.view import SeatView
from slotfit.render.words import gb_s

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
