"""FIT002: connector longer than a closed slot."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written
from slotfit.standards.cem import card_enters, made


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card edge longer than the slot, unless its end is open; what is not known is a doubt."""
    plug, receptacle = trial.item.part.plug, trial.site.receptacle
    if plug.form != "cem" or receptacle.form != "cem":
        return
    card, slot = made(plug.width), made(receptacle.width)
    if card is None or slot is None:
        yield Doubt(RULE.id, size_unknown(trial))
        return
    match card_enters(card, slot, receptacle.open_end):
        case None:
            yield Doubt(RULE.id, end_unknown(trial))
        case False:
            yield Objection(
                RULE.id,
                f"{trial.item.id} has an x{plug.width} connector and {trial.site.id} is a closed "
                f"x{receptacle.width} slot",
                written(plug.span("width"), receptacle.span("width")),
            )


def size_unknown(trial: Trial) -> Fact:
    """Which of the two connector lengths nobody has said."""
    part, slot = trial.item.part, trial.site
    unknown = slot.receptacle if made(part.plug.width) else part.plug
    return Fact(
        f"{slot.id}: takes the connector of {part.id}",
        f"the connector of {part.id} goes into {slot.id}",
        "look at both: a connector is about 25 mm (x1), 39 mm (x4), 56 mm (x8) or 89 mm (x16) "
        "long, and a slot with an open end has no wall there",
        unknown.span(),
    )


def end_unknown(trial: Trial) -> Fact:
    """Nobody has said whether the slot's end is open."""
    return Fact(
        f"{trial.site.id}: open end",
        f"{trial.site.id} has an open end, so that a longer card may hang over",
        "look at the end of the slot that is farther from the bracket: most have a wall there",
        trial.site.receptacle.span("open_end"),
    )


RULE = SeatRule(
    id="FIT002",
    title="connector longer than a closed slot",
    why="The end wall of a closed slot stops the card; only an open end lets it hang over.",
    source="CEM connector lengths, as quoted; open ends: common practice, no source",
    judge=judge,
)
