"""COOL001: air over a passive card not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A passive card where nobody has said how much air moves."""
    part = trial.item.part
    if part.cooling == "passive" and part.airflow_lfm and trial.air_lfm is None:
        yield Doubt(RULE.id, unknown(trial, part.airflow_lfm))


def unknown(trial: Trial, needed: float) -> Fact:
    """The fact that there is air enough."""
    return Fact(
        f"{trial.site.id}: {needed:g} LFM of air",
        f"{needed:g} LFM of air move over {trial.site.id}",
        "the chassis' data sheet, or a hand-held anemometer at the slot with the lid closed; if "
        "in doubt mount a blower or duct",
        trial.site.receptacle.span(),
    )


RULE = SeatRule(
    id="COOL001",
    title="air over a passive card not known",
    why="A passive card throttles or shuts down without moving air.",
    source="facts I: passive accelerators need ducted chassis air; data sheet figures, as quoted",
    judge=judge,
)
