"""LANE005: arrangement known not to work."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, arrangement_of, division, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat that needs an arrangement which has been refuted."""
    chosen = arrangement_of(trial)
    if chosen is None or chosen.proof != "refuted" or not trial.links:
        return
    yield Objection(
        RULE.id,
        f"{trial.item.id} in {trial.site.id} needs {division(chosen)}, which is known not to work",
        written(chosen.span("proof")),
    )


RULE = SeatRule(
    id="LANE005",
    title="arrangement known not to work",
    why="A setting that was tried and failed is as good as absent.",
    source="board file, `proof: refuted`",
    judge=judge,
)
