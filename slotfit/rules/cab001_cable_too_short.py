"""CAB001: cable too short."""

from collections.abc import Iterator

from slotfit.model.part import ReceptacleSpec
from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial

INWARD = frozenset(
    (
        "oculink-4", "slimsas-4", "slimsas-8", "mcio-4", "mcio-8", "mcio-16", "sff-8643",
        "sff-8087",
    )
)  # fmt: skip
"""Headers from which a cable leads to something inside the machine."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A cable shorter than the run, or a length not known."""
    part, spec = trial.part.spec, trial.receptacle.spec
    reach, run = part.reach_mm, spec.run_mm
    if reach is None:
        if part.part_class == "cable":
            names = trial.named("kind", "receptacle") if run is None else trial.named("kind")
            case = "neither length" if run is None else "cable's length"
            yield RULE.doubt(case, names, trial.said("kind.reach_mm"), run=run)
    elif run is None:
        names = trial.named("receptacle")
        yield RULE.doubt("run's length", names, trial.said("receptacle.run_mm"), reach=reach)
    elif reach < run:
        facts = trial.said("part.reach_mm", "receptacle.run_mm")
        yield RULE.no("short", trial.named("part", "receptacle"), facts, reach=reach, run=run)


def is_run_unknown(one: ReceptacleSpec) -> bool:
    """Whether a header's run has not been measured."""
    return one.run_mm is None and one.form in INWARD


RULE = SeatRule(
    id="CAB001",
    title="cable too short",
    why="A cable has to reach from its header to where its drives sit.",
    source="the cable's length and the measured run; common practice, no source",
    says={
        "short": Wording("{part} is {reach:g} mm long and the run from {receptacle} is {run:g} mm")
    },
    looks={
        "neither length": Look(
            "{kind} is long enough for the run from {receptacle}",
            "{kind} is long enough for the run from {receptacle}",
            "lay a string along the way the cable will take, bends included, and measure both",
        ),
        "cable's length": Look(
            "{kind} is at least {run:g} mm long",
            "{kind} is at least {run:g} mm long",
            "measure the cable from plug to plug",
        ),
        "run's length": Look(
            "{receptacle}: run of at most {reach:g} mm",
            "the cable run from {receptacle} is at most {reach:g} mm",
            "lay a string along the way the cable will take, bends included",
        ),
    },
    gaps=(
        Gap(
            "receptacle",
            "run_mm",
            is_run_unknown,
            "how far a cable must run from here is not said, so whether one is long enough is in "
            "doubt",
            "lay a string along the way to the drives, bends included",
        ),
        Gap(
            "part",
            "reach_mm",
            lambda part: part.reach_mm is None and part.part_class == "cable",
            "its length is not said, so whether it reaches is in doubt",
            "measure from plug to plug",
        ),
    ),
    judge=judge,
)
