"""FIT007: card higher than the room."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.hardware.room import Room, Words, chassis_silent, held_to_room, room_here
from slotfit.model.part import Part
from slotfit.model.seat import Verdict
from slotfit.rule import SeatRule, Trial, opening_at
from slotfit.standards.cem import FULL_HEIGHT_MM, LOW_PROFILE_HEIGHT_MM

OPENING_MM = {"full": FULL_HEIGHT_MM, "low": LOW_PROFILE_HEIGHT_MM}
"""A bracket opening of a height class takes every card of that class (CEM 1.2, measured)."""

WORDS = Words(
    "FIT007",
    "height_mm",
    "high",
    "measure the card from the edge connector to its top, plugs on top included",
    "measure from the slot's top edge to the closed lid, and leave room for plugs on top",
)


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card higher than its receptacle or the chassis has room for."""
    if trial.item.part.plug.form == "cem":
        high = height_mm(trial.item.part)
        beside = room_beside(opening_at(trial), high)
        room = room_here(trial, "height_mm") or beside
        less = beside is None and chassis_silent(trial, "height_mm")
        yield from held_to_room(trial, high, room, WORDS, less=less)


def height_mm(part: Part) -> float | None:
    """The card's height; one with a low bracket is a low-profile card."""
    low = part.height_mm is None and part.bracket in ("low", "both")
    return LOW_PROFILE_HEIGHT_MM if low else part.height_mm


def room_beside(opening: str | None, high: float | None) -> Room | None:
    """What any opening of this height class has, if that settles it."""
    least = OPENING_MM.get(opening or "", 0.0)
    return Room(least, None) if high is not None and high <= least else None


RULE = SeatRule(
    id="FIT007",
    title="card higher than the room",
    why="The lid, a brace or a neighbouring cage stops a high card and the plugs on top of it.",
    source="the card's, the board's and the chassis' figures; CEM 1.2 card outline, measured: full "
    "height 111.15 mm, low profile 68.90 mm",
    judge=judge,
)
