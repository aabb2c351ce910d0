"""WISH009: part being retired."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """Any seat of a part that leaves, and of its further plugs."""
    body = trial.item.body
    if body in trial.problem.retire:
        yield Objection(
            RULE.id,
            f"{body} is being retired",
            written(trial.item.wish.span("id")),
        )


RULE = SeatRule(
    id="WISH009",
    title="part being retired",
    why="What leaves has no place at the end.",
    source="build file, `retire`",
    judge=judge,
    severity="asks",
)
