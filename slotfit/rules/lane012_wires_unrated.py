"""LANE012: generation that wires carry not known."""

from collections.abc import Iterator

from slotfit.hardware.wires import EASY_GENERATION, ends_here
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A fast link through wires of which nobody has said what they carry."""
    fastest = max((link.generation or 0 for link in ends_here(trial.links)), default=0)
    if fastest <= EASY_GENERATION:
        return
    for name in trial.upstream.unrated:
        part = trial.problem.part[name].spec
        facts = (Cited("carrier", part.id, part, "generation"),)
        yield RULE.doubt("wires", {"carrier": part.id}, facts, fastest=fastest)


RULE = SeatRule(
    id="LANE012",
    title="generation that wires carry not known",
    why="From generation 4 on a riser, cable or carrier may need a retimer, or the link falls "
    "back or errs: the way counts, not only the slot.",
    source="channel loss budgets of 28 dB (generation 4) and 36 dB (5), as quoted; risers: common "
    "practice, no source",
    looks={
        "wires": Look(
            "{carrier}: carries generation {fastest}",
            "{carrier} carries generation {fastest}",
            "its maker's label or data sheet; or fit it, load the link, and look at LnkSta and the "
            "corrected errors in `lspci -vv`",
        )
    },
    judge=judge,
)
