"""LANE002: fewer endpoints alive than wished."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """Fewer links alive than the build file asks for."""
    wanted = trial.item.wish.endpoints
    alive = [link for link in trial.links if link.lanes]
    if wanted is None or len(alive) >= wanted or not alive:
        return
    dark = next(link for link in trial.links if not link.lanes)
    yield Objection(
        RULE.id,
        f"{trial.item.id} shows {len(alive)} of the {wanted} endpoints asked for in "
        f"{trial.site.id}: {dark.dark}",
        written(trial.item.wish.span("endpoints"), trial.site.receptacle.span("lanes")),
    )


RULE = SeatRule(
    id="LANE002",
    title="fewer endpoints alive than wished",
    why="Each endpoint needs a segment that starts at its lane.",
    source="build file; PCIe Base, link training",
    judge=judge,
    severity="asks",
)
