"""COOL005: heat of modules not in the figure."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import SeatRule, Trial
from slotfit.standards.cages import COPPER_W


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card whose modules draw more than its figure for air is said to allow for."""
    spec, modules_w = trial.part.spec, trial.part.wish.modules_w
    allowed = COPPER_W if spec.modules_w is None else spec.modules_w
    if modules_w and spec.needs_lfm and modules_w > allowed:
        facts = trial.said("kind.modules_w")
        names = trial.named("kind")
        yield RULE.doubt("modules", names, facts, needed=spec.needs_lfm, modules=modules_w)


RULE = SeatRule(
    id="COOL005",
    title="heat of modules not in the figure",
    why="Optical modules draw 1 to 12 W each and sit in the same air as the card: a figure for "
    "the card alone says nothing of them.",
    source="watts of modules as quoted and from memory; the rest is common practice, no source",
    looks={
        "modules": Look(
            "{kind}: air with {modules:g} W of modules",
            "{needed:g} LFM are enough for {kind} with {modules:g} W of modules in its ports",
            "its data sheet gives the air with modules of a power class; passive copper cables "
            "draw next to nothing",
        )
    },
    judge=judge,
)
