"""CAB002: no cable between two sockets."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written

CABLED = (
    "sff-8643",
    "sff-8644",
    "sff-8087",
    "sff-8088",
    "slimsas-4",
    "slimsas-8",
    "mcio-4",
    "mcio-8",
    "mcio-16",
    "oculink-4",
)
"""Forms whose plug is the end of a cable; on a card or board they are sockets."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part's second connection straight on another part or board; risers bring their cable."""
    plug = trial.item.part.plug
    if trial.item.companion_of is None or plug.form not in CABLED:
        return
    owner = trial.problem.item.get(trial.site.owner)
    if owner is None or owner.part.part_class != "cable":
        yield Objection(
            RULE.id,
            f"{trial.item.id} and {trial.site.id} are both sockets and a cable goes between them",
            written(plug.span(), trial.site.receptacle.span("form")),
        )


RULE = SeatRule(
    id="CAB002",
    title="no cable between two sockets",
    why="A socket takes a cable's plug; the cable is a part of its own, with its length.",
    source="what these connectors are; common practice, no source",
    judge=judge,
)
