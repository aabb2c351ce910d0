"""The totals of each board: what is placed, what each preference comes to, what is left."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from slotfit.render.compare.view import BoardView
from slotfit.render.words import gb_s

SHORT_NAMES = {
    "optional-parts": "optional",
    "dark-endpoints": "dark",
    "bandwidth": "short",
    "unproven-facts": "facts",
    "locality": "far",
    "cooling": "airless",
}
"""Preferences as heads of columns."""

MEANINGS = {
    "optional-parts": "optional: weight of optional parts left out",
    "dark-endpoints": "dark: endpoints",
    "bandwidth": "short: GB/s of demand, both ways added",
    "unproven-facts": "facts: unproven",
    "locality": "far: parts on another processor",
    "cooling": "airless: gaps",
}
"""What a column counts."""


def legend(boards: Sequence[BoardView], *, zeros: bool = True) -> str:
    """What the columns count."""
    said = [MEANINGS[stage] for stage in stages_of(boards, zeros=zeros)]
    return "; ".join([*said, "lanes, W: left"])


def stages_of(boards: Sequence[BoardView], *, zeros: bool) -> list[str]:
    """The preferences, in order; without `zeros` none that all boards meet in full."""
    every = [one for board in boards for one in board.preferences]
    shown = {one.stage for one in every if zeros or one.value}
    return [stage for stage in dict.fromkeys(one.stage for one in every) if stage in shown]


def table(
    boards: Sequence[BoardView], *, zeros: bool = True
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """The head and a row a board."""
    stages = stages_of(boards, zeros=zeros)
    extra = [name for name, told in EXTRAS.items() if any(told(board) for board in boards)]
    head = (
        *("board", "placed", *(SHORT_NAMES[stage] for stage in stages)),
        *("lanes", "W", *extra),
    )
    rows = [
        (
            board.name,
            f"{board.placed}/{board.parts}",
            *values(board, stages),
            str(board.lanes_left),
            watts_left(board),
            *(EXTRAS[name](board) for name in extra),
        )
        for board in boards
    ]
    return head, rows


def values(board: BoardView, stages: Iterable[str]) -> Iterator[str]:
    """One value a stage; a value that is not proven with the one that may be possible."""
    known = {one.stage: one for one in board.preferences}
    for stage in stages:
        one = known.get(stage)
        yield (
            "-"
            if one is None
            else amount(stage, one.value)
            + (f" (or {amount(stage, one.bound)})" if one.bound < one.value else "")
        )


def amount(stage: str, value: int) -> str:
    """In the unit of its column."""
    return gb_s(value) if stage == "bandwidth" else str(value)


def watts_left(board: BoardView) -> str:
    """What the supply has left; `<` where some draw is not known."""
    if board.power_left_w is None:
        return "?"
    return ("<" if board.draw_unknown else "") + f"{board.power_left_w:g}"


def price(board: BoardView) -> str:
    """The board's price, as its file has it."""
    return "" if board.price is None else f"{board.price:g}"


def processors(board: BoardView) -> str:
    """Processors fitted, where not every socket has one."""
    return f"{board.fitted}/{board.sockets}" if board.fitted < board.sockets else ""


def futures(board: BoardView) -> str:
    """Share of the likely futures, by weight."""
    return f"{board.outlook.share:.0%}" if board.outlook else ""


EXTRAS = {"price": price, "processors": processors, "futures": futures}
"""Columns that are there only if some board has something to say in them."""
