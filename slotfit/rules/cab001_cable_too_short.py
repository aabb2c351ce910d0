"""CAB001: cable too short."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A cable shorter than the run, or a length not known."""
    part, receptacle = trial.item.part, trial.site.receptacle
    if part.reach_mm is None:
        if part.part_class == "cable":
            yield Doubt(RULE.id, cable_unknown(trial, receptacle.run_mm))
    elif receptacle.run_mm is None:
        yield Doubt(RULE.id, run_unknown(trial, part.reach_mm))
    elif part.reach_mm < receptacle.run_mm:
        yield Objection(
            RULE.id,
            f"{trial.item.id} is {part.reach_mm:g} mm long and the run from {trial.site.id} is "
            f"{receptacle.run_mm:g} mm",
            written(part.span("reach_mm"), receptacle.span("run_mm")),
        )


def run_unknown(trial: Trial, reach: float) -> Fact:
    """Nobody has measured the run."""
    return Fact(
        f"{trial.site.id}: run of at most {reach:g} mm",
        f"the cable run from {trial.site.id} is at most {reach:g} mm",
        "lay a string along the way the cable will take, bends included",
        trial.site.receptacle.span(),
    )


def cable_unknown(trial: Trial, run: float | None) -> Fact:
    """Nobody has said how long the cable is."""
    part = trial.item.part
    if run is None:
        text = f"{part.id} is long enough for the run from {trial.site.id}"
        how = "lay a string along the way the cable will take, bends included, and measure both"
    else:
        text = f"{part.id} is at least {run:g} mm long"
        how = "measure the cable from plug to plug"
    return Fact(text, text, how, part.span())


RULE = SeatRule(
    id="CAB001",
    title="cable too short",
    why="A cable has to reach from its header to where its drives sit.",
    source="the cable's length and the measured run; common practice, no source",
    judge=judge,
)
