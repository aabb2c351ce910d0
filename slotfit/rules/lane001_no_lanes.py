"""LANE001: no lanes here."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.reason import Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part none of whose links trains; an absent processor is another rule's word."""
    if not trial.links or any(link.lanes for link in trial.links) or trial.offer.absent:
        return
    facts = trial.said("receptacle.lanes", "part.links")
    yield RULE.no("dark", trial.named("part", "receptacle"), facts, {"dark": trial.links[0].dark})


RULE = SeatRule(
    id="LANE001",
    title="no lanes here",
    why="A part with links needs at least one that trains.",
    source="PCI Express Base, link initialisation, as quoted; a segment is one port's lanes: our "
    "own word",
    says={"dark": Wording("no link of {part} trains in {receptacle}", "{dark}")},
    judge=judge,
)
