"""COOL004: air warmer than a figure holds for."""

from collections.abc import Iterator

from slotfit.model.part import PartSpec
from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial
from slotfit.standards.power import WARM_INLET_C


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part whose figure for air holds for cooler air than there is, or than there may be."""
    spec, inlet = trial.part.spec, trial.machine.entry.inlet_c
    at, named = spec.airflow_at_c, trial.named("kind", "machine")
    if not spec.needs_lfm:
        return
    if inlet is None:
        if at is not None and at < WARM_INLET_C:
            facts = trial.said("machine.inlet_c")
            yield RULE.doubt("inlet", trial.named("machine"), facts, at=at)
    elif at is None:
        yield RULE.doubt("figure", named, trial.said("kind.airflow_at_c"), inlet=inlet)
    elif inlet > at:
        facts = trial.said("machine.inlet_c", "kind.airflow_at_c")
        yield RULE.doubt("warmer", named, facts, inlet=inlet, at=at, needed=spec.needs_lfm)


def has_cold_figure(part: PartSpec) -> bool:
    """Whether it asks for air, and nobody has said how warm that may be."""
    return bool(part.needs_lfm) and part.airflow_at_c is None


SHEET = "its data sheet gives the air for each inlet temperature: write the row of the warmest day"

RULE = SeatRule(
    id="COOL004",
    title="air warmer than a figure holds for",
    why="A figure for air holds up to a temperature: one card asks for 270 LFM at 30 C and for 420 "
    "at 45 C.",
    source="accelerator card data sheet 683226 5.1, as quoted; that air of 35 C is to be expected "
    "at the slots: common practice, no source",
    looks={
        "inlet": Look(
            "{machine}: air of at most {at:g} C",
            "the air that reaches the slots of {machine} is never warmer than {at:g} C",
            "a thermometer before the cards on a warm day, the lid closed and disks at work",
        ),
        "figure": Look(
            "{kind}: its air at {inlet:g} C",
            "the air that {kind} asks for is enough at {inlet:g} C",
            SHEET,
        ),
        "warmer": Look(
            "{kind}: {needed:g} LFM at {inlet:g} C",
            "{needed:g} LFM are enough for {kind} at {inlet:g} C, and not at {at:g} C alone",
            SHEET,
        ),
    },
    gaps=(
        Gap(
            "part",
            "airflow_at_c",
            has_cold_figure,
            "how warm that air may be is not said, so a machine that says how warm its air is "
            "leaves it in doubt",
            "its data sheet gives the air for an inlet temperature",
        ),
    ),
    judge=judge,
)
