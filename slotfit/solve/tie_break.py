"""One plan out of many equally good ones, always the same."""

from __future__ import annotations

from slotfit.model.clause import arrangement
from slotfit.natural_order import natural
from slotfit.solve.engine import Term
from slotfit.solve.prefer import Frame

PARTS_A_STEP = 10
"""So many parts are ranked in one objective; more would make its weights too large."""


def fewest_settings(frame: Frame) -> list[Term]:
    """Arrangements other than the board's own first one, later ones dearer."""
    return [
        (frame.x[arrangement(f"{rig.id}/{group.id}", str(way.id))], number)
        for rig in frame.problem.rigs
        for group in rig.board.lane_groups
        for number, way in enumerate(group.arrangements)
        if number
    ]


def rank_steps(frame: Frame) -> list[list[Term]]:
    """Parts in natural order of their names, each to the first receptacle it can have."""
    items = sorted(frame.seating.by_item, key=natural)
    chunks = [items[i : i + PARTS_A_STEP] for i in range(0, len(items), PARTS_A_STEP)]
    return [ranked(frame, chunk) for chunk in chunks]


def ranked(frame: Frame, items: list[str]) -> list[Term]:
    """A sum in which an earlier part's receptacle outweighs all later ones."""
    terms: list[Term] = []
    weight = 1
    for item in reversed(items):
        seats = frame.seating.by_item[item]
        order = sorted({seat.site for seat in seats}, key=natural)
        # No seat at all ranks behind the last one: each seat earns something.
        terms += [
            (frame.x[seat.key], weight * (order.index(seat.site) - len(order))) for seat in seats
        ]
        weight *= len(order) + 1
    return terms
