"""FIT006: card longer than the room."""

from collections.abc import Iterator

from slotfit.hardware.room import chassis_silent, held_to_room, looks_for_room, no_room, room_here
from slotfit.model.reason import Verdict
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card longer than its receptacle or the chassis has room for."""
    if trial.part.spec.plug.form == "cem":
        room = room_here(trial, "length_mm")
        have = trial.part.spec.length_mm
        less = chassis_silent(trial, "length_mm", have)
        yield from held_to_room(RULE, trial, "length_mm", have, room, less=less)


RULE = SeatRule(
    id="FIT006",
    title="card longer than the room",
    why="What stands in line with a slot stops a long card: a drive cage, a fan wall.",
    source="the card's, the board's and the chassis' figures; open drawing of card outlines, "
    "measured: full length 312 mm, half length 167.65 mm",
    says={"large": no_room("long")},
    looks=looks_for_room(
        "long",
        "measure the card from the bracket to its far end, without plugs",
        "measure from the rear wall to whatever stands in line with the slot: a fan, a drive cage",
    ),
    gaps=(
        Gap(
            "part",
            "length_mm",
            lambda part: part.length_mm is None and part.is_card and not part.is_low_profile,
            "its length is not said, so whether it fits the chassis is in doubt",
            "its data sheet or a ruler",
        ),
        Gap(
            "chassis",
            "card_length_mm",
            lambda case: case.card_length_mm is None,
            "how long a card may be is not said, so long cards are in doubt",
            "measure from the bracket's plane to whatever stands in the way",
        ),
    ),
    judge=judge,
)
