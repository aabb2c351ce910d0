"""FIT006: card longer than the room."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.hardware.room import Words, chassis_silent, held_to_room, room_here
from slotfit.model.seat import Verdict
from slotfit.rule import SeatRule, Trial

WORDS = Words(
    "FIT006",
    "length_mm",
    "long",
    "measure the card from the bracket to its far end, plugs and bends of cables included",
    "measure from the rear wall to whatever stands in line with the slot: a fan, a drive cage",
)


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card longer than its receptacle or the chassis has room for."""
    if trial.item.part.plug.form == "cem":
        room = room_here(trial, "length_mm")
        less = chassis_silent(trial, "length_mm")
        yield from held_to_room(trial, trial.item.part.length_mm, room, WORDS, less=less)


RULE = SeatRule(
    id="FIT006",
    title="card longer than the room",
    why="What stands in line with a slot stops a long card: a drive cage, a fan wall.",
    source="the card's, the board's and the chassis' figures; CEM 1.2 card outline, measured: full "
    "length 312 mm, half length 167.65 mm",
    judge=judge,
)
