"""What is to be said of one board beyond its verdict: text lines without a full stop."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.render.compare.view import BoardView, Comparison, LeftView, OutlookView

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
    if any(one.rule == "FIT013" for board in comparison.boards for one in board.missing):
        yield "a board is too big for its chassis: --no-chassis leaves that aside"
    yield "today's layout counts for nothing here, on no board"
    yield "the base load is taken to be the same on every board"
    yield (
        "compared are slots, lanes, room and power; whether your processors, memory and coolers "
        "fit another board is for its manual to say"
    )
