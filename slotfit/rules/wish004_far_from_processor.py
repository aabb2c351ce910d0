"""WISH004: hangs on another processor."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, hangs_on, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat on another processor than the part must be near."""
    wish = trial.item.wish
    if not wish.must_be_near or wish.near is None or not trial.links:
        return
    if not hangs_on(trial.offer, wish.near):
        yield Objection(
            RULE.id,
            f"{trial.site.id} hangs on {trial.offer.processor} and {trial.item.id} must be near "
            f"{wish.near}",
            written(wish.span("near"), trial.site.receptacle.span("from_")),
        )


RULE = SeatRule(
    id="WISH004",
    title="hangs on another processor",
    why="Traffic between processors is slower than within one.",
    source="facts H2, locality: common practice, no source; build file, `near` with `must_be_near`",
    judge=judge,
    severity="asks",
)
