"""WISH002: receptacle banned for the part."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A receptacle the build file rules out."""
    wish = trial.item.wish
    if trial.site.id in wish.ban:
        yield Objection(
            RULE.id,
            f"{trial.item.id} is not to go into {trial.site.id}",
            written(wish.span("ban")),
        )


RULE = SeatRule(
    id="WISH002",
    title="receptacle banned for the part",
    why="The build file says where the part does not go.",
    source="build file, `ban`",
    judge=judge,
    severity="asks",
)
