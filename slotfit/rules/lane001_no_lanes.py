"""LANE001: no lanes here."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part none of whose links trains; an absent processor is CPU001's word."""
    if not trial.links or any(link.lanes for link in trial.links) or trial.offer.absent:
        return
    yield Objection(
        RULE.id,
        f"no link of {trial.item.id} trains in {trial.site.id}: {trial.links[0].dark}",
        written(trial.site.receptacle.span("lanes"), trial.item.part.span("links")),
    )


RULE = SeatRule(
    id="LANE001",
    title="no lanes here",
    why="A part with links needs at least one that trains.",
    source="PCI Express Base, link initialisation, as quoted; a segment is one port's lanes: our "
    "own word",
    judge=judge,
)
