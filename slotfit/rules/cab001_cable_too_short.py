"""CAB001: cable too short."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A cable shorter than the run, or a run nobody has measured."""
    part, receptacle = trial.item.part, trial.site.receptacle
    if part.reach_mm is None:
        return
    if receptacle.run_mm is None:
        yield Doubt(RULE.id, unknown(trial, part.reach_mm))
    elif part.reach_mm < receptacle.run_mm:
        yield Objection(
            RULE.id,
            f"{trial.item.id} is {part.reach_mm:g} mm long and the run from {trial.site.id} is "
            f"{receptacle.run_mm:g} mm",
            written(part.span("reach_mm"), receptacle.span("run_mm")),
        )


def unknown(trial: Trial, reach: float) -> Fact:
    """The fact that the cable reaches."""
    return Fact(
        f"{trial.site.id}: run of at most {reach:g} mm",
        f"the cable run from {trial.site.id} is at most {reach:g} mm",
        "lay a string along the way the cable will take, bends included",
        trial.site.receptacle.span(),
    )


RULE = SeatRule(
    id="CAB001",
    title="cable too short",
    why="A cable must reach from its header to where its drives sit.",
    source="the cable's and the chassis' lengths; common practice, no source",
    judge=judge,
)
