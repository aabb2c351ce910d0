"""FIT002: connector longer than a closed slot."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written
from slotfit.standards.cem import card_enters


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card edge longer than the slot, unless its end is open; unknown sizes are a doubt."""
    plug, receptacle = trial.item.part.plug, trial.site.receptacle
    if "cem" not in (plug.form, receptacle.form) or plug.form != receptacle.form:
        return
    if plug.width is None or receptacle.width is None:
        yield Doubt(RULE.id, size_unknown(trial))
    elif not card_enters(plug.width, receptacle.width, receptacle.open_end):
        yield Objection(
            RULE.id,
            f"{trial.item.id} has an x{plug.width} connector and {trial.site.id} is a closed "
            f"x{receptacle.width} slot",
            written(plug.span("width"), receptacle.span("width")),
        )


def size_unknown(trial: Trial) -> Fact:
    """Which of the two connector lengths nobody has said."""
    unknown = trial.site.receptacle if trial.item.part.plug.width else trial.item.part.plug
    return Fact(
        f"{trial.site.id}: takes the connector of {trial.item.id}",
        f"the connector of {trial.item.id} goes into {trial.site.id}",
        "look at the slot: a connector is about 25 mm (x1), 39 mm (x4), 56 mm (x8) or 89 mm "
        "(x16) long, and an open end has no wall",
        unknown.span(),
    )


RULE = SeatRule(
    id="FIT002",
    title="connector longer than a closed slot",
    why="The end wall of a closed slot stops the card; only an open end lets it hang over.",
    source="CEM, connector lengths, as quoted; open ends are a board maker's option, common practice",
    judge=judge,
)
