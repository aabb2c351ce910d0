"""COOL001: air over a passive card not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial
from slotfit.standards.airflow import STILL_AIR_W


def judge(trial: Trial) -> Iterator[Verdict]:
    """A passive card where nobody has said how much air moves, or how much it needs."""
    part, air = trial.item.part, trial.air_lfm
    if part.cooling != "passive":
        return
    if part.airflow_lfm is None:
        if part.draw_w > STILL_AIR_W and air != 0:
            yield Doubt(RULE.id, need_unknown(trial))
    elif part.airflow_lfm > 0 and air is None:
        yield Doubt(RULE.id, air_unknown(trial, part.airflow_lfm))


def air_unknown(trial: Trial, needed: float) -> Fact:
    """Nobody has said how much air moves."""
    return Fact(
        f"{trial.site.id}: {needed:g} LFM of air",
        f"{needed:g} LFM of air move over {trial.site.id}",
        "the chassis' data sheet, or a hand-held anemometer at the slot with the lid closed; if "
        "in doubt mount a blower or duct",
        trial.site.receptacle.span(),
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


RULE = SeatRule(
    id="COOL001",
    title="air over a passive card not known",
    why="A passive card throttles or shuts down without moving air.",
    source="accelerator card data sheet 683226 5.1, as quoted",
    judge=judge,
)
