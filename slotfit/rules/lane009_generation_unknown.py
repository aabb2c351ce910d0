"""LANE009: generation of the lanes not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link whose speed nobody can tell."""
    alive = any(link.lanes and link.bus == "pcie" and not link.to for link in trial.links)
    if alive and trial.offer.generation is None and trial.offer.depth == 0:
        yield Doubt(RULE.id, unknown(trial))


def unknown(trial: Trial) -> Fact:
    """The fact that the lanes are as fast as the part."""
    fastest = max((link.able_generation or 0 for link in trial.links), default=0)
    return Fact(
        f"{trial.offer.root}: generation {fastest or '?'}",
        f"{trial.offer.root} is of generation {fastest} or later"
        if fastest
        else f"{trial.offer.root} and {trial.item.id} are of a generation that is fast enough",
        "the manual's slot table names it; on a running machine the port's LnkCap line in "
        "`lspci -vv` shows the speed",
        trial.site.receptacle.span(),
    )


RULE = SeatRule(
    id="LANE009",
    title="generation of the lanes not known",
    why="Without it no bandwidth can be promised.",
    source="three-valued facts: unknown is not zero",
    judge=judge,
)
