"""WISH008: machine being retired."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat in a machine that is taken out of service."""
    machine = trial.offer.machine
    if machine in trial.problem.retire:
        yield Objection(
            RULE.id,
            f"{machine} is being retired",
            written(trial.rig.machine.span("id")),
        )


RULE = SeatRule(
    id="WISH008",
    title="machine being retired",
    why="What is taken out of service holds nothing at the end.",
    source="build file, `retire`",
    judge=judge,
    severity="asks",
)
