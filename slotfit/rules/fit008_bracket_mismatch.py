"""FIT008: bracket of the wrong height."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card whose bracket the opening does not take."""
    part, opening = trial.item.part, opening_of(trial)
    if opening is None or opening == "none" or part.plug.form not in ("cem", "opening"):
        return
    have = part.bracket
    if have is None:
        yield Doubt(RULE.id, unknown(trial, opening))
    elif have not in (opening, "both", "none"):
        yield Objection(
            RULE.id,
            f"{trial.item.id} has a {have}-height bracket and the opening at {trial.site.id} is "
            f"{opening}-height",
            written(part.span("bracket"), trial.site.receptacle.span("bracket")),
        )


def opening_of(trial: Trial) -> str | None:
    """The opening's height class: the receptacle's word first, else the chassis'."""
    if trial.site.receptacle.bracket:
        return trial.site.receptacle.bracket
    chassis = trial.rig.chassis
    return chassis.bracket if chassis and trial.site.on_board else None


def unknown(trial: Trial, opening: str) -> Fact:
    """Nobody has said which bracket the card has."""
    return Fact(
        f"{trial.item.part.id}: {opening} bracket",
        f"{trial.item.id} has a {opening}-height bracket",
        "look at the card: a full-height bracket is about 120 mm long, a low one about 79 mm",
        trial.item.part.span(),
    )


RULE = SeatRule(
    id="FIT008",
    title="bracket of the wrong height",
    why="A full-height bracket does not go into a low-profile opening, and a low one leaves the card loose in a full one.",
    source="CEM, full height and low profile brackets, as quoted",
    judge=judge,
)
