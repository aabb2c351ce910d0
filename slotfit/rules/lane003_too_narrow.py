"""LANE003: link narrower than the part needs."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link narrower than the part, or the wish for it, allows."""
    part, wish = trial.item.part, trial.item.wish
    least = max(part.min_lanes or 0, wish.min_lanes or 0)
    narrowest = min((link.lanes for link in trial.links if link.lanes), default=None)
    if narrowest is None or narrowest >= least:
        return
    by_wish = (wish.min_lanes or 0) > (part.min_lanes or 0)
    yield Objection(
        RULE.id,
        f"{trial.item.id} would train at x{narrowest} in {trial.site.id} and "
        f"{'is to have' if by_wish else 'needs'} x{least}",
        written((wish if by_wish else part).span("min_lanes"), trial.site.receptacle.span("lanes")),
    )


RULE = SeatRule(
    id="LANE003",
    title="link narrower than the part needs",
    why="Some parts do not start, or are of no use, below a width.",
    source="part description or build file, `min_lanes`",
    judge=judge,
)
