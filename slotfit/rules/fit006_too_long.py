"""FIT006: card longer than the room."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.room import room_for
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card longer than its receptacle or the chassis has room for."""
    part, site = trial.item.part, trial.site
    if site.receptacle.form not in ("cem", "ocp3-sff", "ocp3-lff"):
        return
    room = room_for("length_mm", trial.problem, site, trial.offer.machine)
    asked = trial.rig.chassis is not None or not site.on_board
    if room is None or part.length_mm is None:
        if part.plug.form == "cem" and (room or (part.length_mm and asked)):
            yield Doubt(RULE.id, unknown(trial, room.mm if room else part.length_mm))
    elif part.length_mm > room.mm:
        yield Objection(
            RULE.id,
            f"{trial.item.id} is {part.length_mm:g} mm long and {site.id} has room for "
            f"{room.mm:g} mm",
            written(part.span("length_mm"), room.span),
        )


def unknown(trial: Trial, mm: float | None) -> Fact:
    """Nobody has said how long the card or the room is."""
    part, site = trial.item.part, trial.site
    if part.length_mm is None:
        return Fact(
            f"{part.id}: at most {mm:g} mm long",
            f"{part.id} is at most {mm:g} mm long",
            "measure the card from the bracket to its far end, plugs and bends of cables included",
            part.span(),
        )
    return Fact(
        f"{site.id}: {mm:g} mm of room for a card's length",
        f"{site.id} has {mm:g} mm of room for a card's length",
        "measure from the rear wall to whatever stands in line with the slot: a fan, a drive cage",
        site.receptacle.span(),
    )


RULE = SeatRule(
    id="FIT006",
    title="card longer than the room",
    why="What stands in line with a slot stops a long card: a drive cage, a fan wall.",
    source="the card's, the board's and the chassis' figures; CEM 1.2 card outline, measured: full "
    "length 312 mm, half length 167.65 mm",
    judge=judge,
)
