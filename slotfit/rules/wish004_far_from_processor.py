"""WISH004: another processor than asked."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, hangs_on, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat on another processor than the part has to be near."""
    wish, offer = trial.item.wish, trial.offer
    if not wish.must_be_near or wish.near is None or not trial.links:
        return
    if not hangs_on(offer, wish.near):
        yield Objection(
            RULE.id,
            f"{trial.site.id} hangs on {offer.processor or 'no known processor'} of "
            f"{offer.machine} and {trial.item.id} is to be near {wish.near}",
            written(wish.span("near"), trial.site.receptacle.span("from_")),
        )


RULE = SeatRule(
    id="WISH004",
    title="another processor than asked",
    why="Traffic between processors is slower than within one.",
    source="build file, `near` with `must_be_near`; locality: common practice, no source",
    judge=judge,
    severity="asks",
)
