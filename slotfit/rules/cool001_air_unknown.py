"""COOL001: air over a passive card not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial
from slotfit.standards.power import STILL_AIR_W


def judge(trial: Trial) -> Iterator[Verdict]:
    """A passive card where nobody has said how much air moves, or how much it needs."""
    part, air = trial.item.part, trial.air_lfm
    hot = part.draw_w > STILL_AIR_W
    if part.cooling is None and part.plug.form == "cem" and (hot or part.airflow_lfm):
        yield Doubt(RULE.id, cooling_unknown(trial))
    if part.cooling != "passive":
        return
    if part.airflow_lfm is None:
        if hot:
            yield Doubt(RULE.id, need_unknown(trial))
    elif part.airflow_lfm > 0 and air is None:
        yield Doubt(RULE.id, air_unknown(trial, part.airflow_lfm))


def air_unknown(trial: Trial, needed: float) -> Fact:
    """Nobody has said how much air moves; an air mover on the card that blows enough settles it."""
    return Fact(
        f"{trial.site.id}: {needed:g} LFM of air",
        f"{needed:g} LFM of air move over {trial.site.id}",
        "the chassis' data sheet, or a hand-held anemometer at the slot with the lid closed; if "
        "in doubt mount a blower or duct",
        trial.site.receptacle.span(),
        tuple(
            item.id for item in trial.problem.items if (item.part.gives_airflow_lfm or 0) >= needed
        ),
    )


def need_unknown(trial: Trial) -> Fact:
    """Nobody has said how much air the card needs."""
    part = trial.item.part
    return Fact(
        f"{trial.site.id}: air enough for {part.id}",
        f"the air over {trial.site.id} is enough for {part.id}",
        "the card's data sheet gives linear feet a minute for an inlet temperature",
        part.span(),
    )


def cooling_unknown(trial: Trial) -> Fact:
    """Nobody has said whether the card has a fan."""
    part = trial.item.part
    return Fact(
        f"{trial.site.id}: {part.id} stays cool",
        f"{part.id} has a fan of its own, or the air over {trial.site.id} is enough for it",
        "look at the card: a heat sink without a fan or blower is passive; its data sheet then "
        "gives linear feet a minute for an inlet temperature",
        part.span("cooling"),
    )


RULE = SeatRule(
    id="COOL001",
    title="air over a passive card not known",
    why="A passive card throttles or shuts down without moving air; a blower or duct on it that "
    "gives enough settles the matter.",
    source="accelerator card data sheet 683226 5.1, as quoted",
    judge=judge,
)
