"""WISH003: another machine than asked."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat in a machine the part does not belong to."""
    wish = trial.item.wish
    if wish.machine and wish.machine != trial.offer.machine:
        yield Objection(
            RULE.id,
            f"{trial.item.id} is to go into {wish.machine} and {trial.site.id} is in "
            f"{trial.offer.machine}",
            written(wish.span("machine")),
        )


RULE = SeatRule(
    id="WISH003",
    title="another machine than asked",
    why="The build file says which machine the part belongs to.",
    source="build file, `machine`",
    judge=judge,
    severity="asks",
)
