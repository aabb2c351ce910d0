"""FIT007: card higher than the room."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.part import Part
from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.room import Room, room_for
from slotfit.rule import SeatRule, Trial, opening_at, written
from slotfit.standards.cem import FULL_HEIGHT_MM, LOW_PROFILE_HEIGHT_MM

OPENING_MM = {"full": FULL_HEIGHT_MM, "low": LOW_PROFILE_HEIGHT_MM}
"""A bracket opening of a height class takes every card of that class (CEM 1.2, measured)."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card higher than its receptacle or the chassis has room for."""
    part, site = trial.item.part, trial.site
    if site.receptacle.form not in ("cem", "ocp3-sff", "ocp3-lff"):
        return
    room, high = room_here(trial), height_mm(part)
    if room is None and (high is None or (trial.rig.chassis is None and site.on_board)):
        return
    if room is None or high is None:
        if part.plug.form == "cem":
            yield Doubt(RULE.id, card_unknown(part, room) if room else room_unknown(trial, high))
    elif high > room.mm:
        yield Objection(
            RULE.id,
            f"{trial.item.id} is {high:g} mm high and {site.id} has room for {room.mm:g} mm",
            written(part.span("height_mm"), room.span),
        )


def height_mm(part: Part) -> float | None:
    """The card's height; one with a low bracket is a low-profile card."""
    low = part.height_mm is None and part.bracket in ("low", "both")
    return LOW_PROFILE_HEIGHT_MM if low else part.height_mm


def room_here(trial: Trial) -> Room | None:
    """The room that is named, or else what any opening of this height class has."""
    named = room_for("height_mm", trial.problem, trial.site, trial.offer.machine)
    least = OPENING_MM.get(opening_at(trial) or "")
    high = height_mm(trial.item.part)
    if named is None and least is not None and high is not None and high <= least:
        return Room(least, None)
    return named


def card_unknown(part: Part, room: Room) -> Fact:
    """Nobody has said how high the card is."""
    return Fact(
        f"{part.id}: at most {room.mm:g} mm high",
        f"{part.id} is at most {room.mm:g} mm high",
        "measure the card from the edge connector to its top, plugs on top included",
        part.span(),
    )


def room_unknown(trial: Trial, high: float | None) -> Fact:
    """Nobody has said how much room there is."""
    site = trial.site
    return Fact(
        f"{site.id}: {high:g} mm of room for a card's height",
        f"{site.id} has {high:g} mm of room for a card's height",
        "measure from the slot's top edge to the closed lid, and leave room for plugs on top",
        site.receptacle.span(),
    )


RULE = SeatRule(
    id="FIT007",
    title="card higher than the room",
    why="The lid, a brace or a neighbouring cage stops a high card and the plugs on top of it.",
    source="the card's, the board's and the chassis' figures; CEM 1.2 card outline, measured: full "
    "height 111.15 mm, low profile 68.90 mm",
    judge=judge,
)
