"""CPU001: processor absent."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part with links on lanes of a processor that is not fitted."""
    if trial.links and trial.offer.absent:
        yield Objection(
            RULE.id,
            f"the lanes of {trial.offer.root} come from {trial.offer.absent}, which is not fitted",
            written(trial.rig.machine.span("processors"), trial.site.receptacle.span("from_")),
        )


RULE = SeatRule(
    id="CPU001",
    title="processor absent",
    why="Lanes of a socket without a processor are dead.",
    source="slot tables by processor count in server manuals, as quoted; DSP0134 slot usage 05h "
    "Unavailable, as quoted",
    judge=judge,
)
