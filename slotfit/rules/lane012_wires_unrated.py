"""LANE012: generation that wires carry not known."""

from collections.abc import Iterator

from slotfit.model.part import PartSpec
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import SeatRule, Trial

EASY_GENERATION = 3
"""Up to here ordinary risers, cables and carriers carry a link; common practice, no source."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A fast link through a passive part of which nobody has said what it carries."""
    fastest = max(
        (link.generation or 0 for link in trial.links if link.bus == "pcie" and not link.to),
        default=0,
    )
    if fastest <= EASY_GENERATION:
        return
    for name in trial.upstream.carriers:
        part = trial.problem.part[name].spec
        if part.wiring != "passive":  # below it the lanes begin anew
            return
        if unrated(part):
            facts = (Cited("carrier", part.id, part, "generation"),)
            yield RULE.doubt("wires", {"carrier": part.id}, facts, fastest=fastest)


def unrated(part: PartSpec) -> bool:
    """Neither the part nor any of its links names a generation."""
    return part.generation is None and all(link.generation is None for link in part.links)


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
