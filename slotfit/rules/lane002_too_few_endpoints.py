"""LANE002: fewer endpoints alive than wished."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """Fewer endpoints or sockets alive than the build file asks for; none at all is LANE001's."""
    wanted = trial.item.wish.endpoints
    if wanted is None or not any(link.lanes for link in trial.links):
        return
    alive = endpoints_alive(trial)
    if alive < wanted:
        dark = next((link.dark for link in trial.links if not link.lanes), "it has no more")
        yield Objection(
            RULE.id,
            f"{trial.item.id} shows {alive} of the {wanted} endpoints asked for in "
            f"{trial.site.id}: {dark}",
            written(trial.item.wish.span("endpoints"), trial.site.receptacle.span("lanes")),
        )


def endpoints_alive(trial: Trial) -> int:
    """Links that train; behind a switch or controller with a link up, every receptacle."""
    part = trial.item.part
    sockets = [one for one in part.receptacles if one.form not in ("cooling-mount", "opening")]
    if part.wiring != "passive" and sockets:
        return len(sockets)
    return sum(link.lanes > 0 for link in trial.links)


RULE = SeatRule(
    id="LANE002",
    title="fewer endpoints alive than wished",
    why="Each endpoint needs a segment that starts at its lane.",
    source="build file, `endpoints`; PCI Express Base, link initialisation, as quoted",
    judge=judge,
    severity="asks",
)
