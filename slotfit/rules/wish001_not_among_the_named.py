"""WISH001: not one of the receptacles named."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A receptacle other than those the build file allows."""
    wish = trial.item.wish
    allowed = ((wish.pin,) if wish.pin else ()) + wish.only
    if allowed and trial.site.id not in allowed:
        field = "pin" if wish.pin else "only"
        yield Objection(
            RULE.id,
            f"{trial.item.id} is to go into {' or '.join(allowed)}",
            written(wish.span(field)),
        )


RULE = SeatRule(
    id="WISH001",
    title="not one of the receptacles named",
    why="The build file says where the part goes.",
    source="build file, `pin` and `only`",
    judge=judge,
    severity="asks",
)
