"""FIT009: something behind an open-ended slot."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written
from slotfit.standards.cem import CONNECTORS, made


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card that hangs over an end that is not closed further than the board is clear."""
    plug, receptacle = trial.item.part.plug, trial.site.receptacle
    if plug.form != "cem" or receptacle.form != "cem" or receptacle.open_end is False:
        return
    card, slot = made(plug.width), made(receptacle.width)
    if card is None or slot is None or card <= slot:
        return
    over = overhang_mm(card, slot)
    if receptacle.behind_mm is None:
        yield Doubt(RULE.id, unknown(trial, over))
    elif receptacle.behind_mm < over:
        yield Objection(
            RULE.id,
            f"{trial.item.id} hangs {over:g} mm over the end of {trial.site.id} and only "
            f"{receptacle.behind_mm:g} mm are clear behind it",
            written(plug.span("width"), receptacle.span("behind_mm")),
        )


def overhang_mm(card: int, slot: int) -> float:
    """How much longer the card's edge is, in millimetres."""
    return round(CONNECTORS[card].tab_mm - CONNECTORS[slot].tab_mm, 2)


def unknown(trial: Trial, over: float) -> Fact:
    """Nobody has said how much room there is."""
    return Fact(
        f"{trial.site.id}: {over:g} mm clear behind its end",
        f"{over:g} mm are clear behind the end of {trial.site.id}",
        "hold a ruler behind the slot: heat sinks, capacitors, latches or M.2 drives in line with "
        "it stop the card",
        trial.site.receptacle.span(),
    )


RULE = SeatRule(
    id="FIT009",
    title="something behind an open-ended slot",
    why="The part of a card's edge that hangs over an open end needs clear board behind the slot.",
    source="CEM 1.2 card edge lengths, measured; open ends: common practice, no source",
    judge=judge,
)
