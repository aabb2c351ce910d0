"""WISH001: receptacle other than those named."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A receptacle other than those the build file allows; a pin narrows the list to one."""
    wish = trial.item.wish
    allowed = (wish.pin,) if wish.pin else wish.only
    if allowed and trial.site.id not in allowed:
        yield Objection(
            RULE.id,
            f"{trial.item.id} is to go into {' or '.join(allowed)}, not into {trial.site.id}",
            written(wish.span("pin" if wish.pin else "only")),
        )


RULE = SeatRule(
    id="WISH001",
    title="receptacle other than those named",
    why="The build file says where the part goes.",
    source="build file, `pin` and `only`",
    judge=judge,
    severity="asks",
)
