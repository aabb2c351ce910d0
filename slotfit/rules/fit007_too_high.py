"""FIT007: card higher than the room."""

from collections.abc import Iterator

from slotfit.hardware.room import (
    Room,
    chassis_silent,
    held_to_room,
    looks_for_room,
    no_room,
    room_here,
)
from slotfit.model.part import PartSpec
from slotfit.model.reason import Verdict
from slotfit.rule import Gap, SeatRule, Trial, opening_at
from slotfit.standards.cem import FULL_HEIGHT_MM, LOW_PROFILE_HEIGHT_MM

OPENING_MM = {"full": FULL_HEIGHT_MM, "low": LOW_PROFILE_HEIGHT_MM}
"""A bracket opening of a height class takes every card of that class (open drawing of card
outlines, measured)."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card higher than its receptacle or the chassis has room for."""
    if trial.part.spec.plug.form == "cem":
        high = height_mm(trial.part.spec)
        beside = room_beside(opening_at(trial), high)
        room = room_here(trial, "height_mm") or beside
        less = beside is None and chassis_silent(trial, "height_mm", high)
        yield from held_to_room(RULE, trial, "height_mm", high, room, less=less)


def height_mm(part: PartSpec) -> float | None:
    """The card's height; one with a low bracket is a low-profile card."""
    low = part.height_mm is None and part.is_low_profile
    return LOW_PROFILE_HEIGHT_MM if low else part.height_mm


def room_beside(opening: str | None, high: float | None) -> Room | None:
    """What any opening of this height class has, if that settles it."""
    least = OPENING_MM.get(opening or "", 0.0)
    return Room(least, None) if high is not None and high <= least else None


RULE = SeatRule(
    id="FIT007",
    title="card higher than the room",
    why="The lid, a brace or a neighbouring cage stops a high card and the plugs on top of it.",
    source="the card's, the board's and the chassis' figures; open drawing of card outlines, "
    "measured: full height 111.15 mm, low profile 68.90 mm",
    says={"large": no_room("high")},
    looks=looks_for_room(
        "high",
        "measure the card from the edge connector to its top, plugs on top included",
        "measure from the slot's top edge to the closed lid, and leave room for plugs on top",
    ),
    gaps=(
        Gap(
            "part",
            "height_mm",
            lambda part: part.height_mm is None and part.is_card and not part.is_low_profile,
            "its height is not said, so whether the lid closes over it is in doubt",
            "its data sheet or a ruler; full height is 111.15 mm",
        ),
        Gap(
            "chassis",
            "card_height_mm",
            lambda case: case.card_height_mm is None,
            "how high a card may be is not said, so cards higher than their opening are in doubt",
            "measure from the slot to the lid",
        ),
    ),
    judge=judge,
)
