"""FIT008: bracket of the wrong height."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, opening_at, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card whose bracket the opening does not take."""
    part, opening = trial.item.part, opening_at(trial)
    have = part.bracket
    if part.plug.form not in ("cem", "opening") or have in ("both", "none") or opening == "none":
        return
    if opening is None:
        if at_the_rear(trial):
            yield Doubt(RULE.id, opening_unknown(trial, have))
    elif have is None:
        yield Doubt(RULE.id, bracket_unknown(trial, opening))
    elif have != opening:
        chassis = trial.rig.chassis
        yield Objection(
            RULE.id,
            f"{trial.item.id} has a {have}-height bracket and the opening at {trial.site.id} is "
            f"{opening}-height",
            written(
                part.span("bracket"),
                trial.site.receptacle.span("bracket"),
                chassis.span("bracket") if chassis else None,
            ),
        )


def at_the_rear(trial: Trial) -> bool:
    """A slot of a riser's row, or of the board's in a chassis that was named."""
    asked = trial.rig.chassis is not None or not trial.site.on_board
    return asked and trial.site.row is not None


def opening_unknown(trial: Trial, have: str | None) -> Fact:
    """Nobody has said how high the opening is."""
    site, chassis = trial.site, trial.rig.chassis
    whose = f"of {trial.rig.id}" if site.on_board else f"beside {site.id}"
    what = f"{have}-height" if have else f"as high as the bracket of {trial.item.part.id}"
    text = f"the bracket openings {whose} are {what}"
    return Fact(
        text,
        text,
        "look at the rear: an opening for full-height brackets is about 120 mm high, for low ones "
        "about 79 mm",
        chassis.span() if chassis and site.on_board else site.receptacle.span(),
    )


def bracket_unknown(trial: Trial, opening: str) -> Fact:
    """Nobody has said which bracket the card has."""
    part = trial.item.part
    return Fact(
        f"{part.id}: {opening}-height bracket",
        f"{part.id} has a {opening}-height bracket",
        "look at the card: a full-height bracket is about 120 mm long, a low one about 79 mm",
        part.span(),
    )


RULE = SeatRule(
    id="FIT008",
    title="bracket of the wrong height",
    why="A full-height bracket does not go into a low opening, and a low one leaves the card "
    "loose in a full-height one.",
    source="CEM bracket heights: about 120 mm, from memory; 79.2 mm, as quoted",
    judge=judge,
)
