"""LANE008: width between one lane and full."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Trained, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link that may fall back to one lane."""
    for link in trial.links:
        if link.lanes > 1 and not link.certain:
            yield Doubt(RULE.id, narrows(trial, link))


def narrows(trial: Trial, link: Trained) -> Fact:
    """The fact that part and port agree on the width between."""
    part = trial.item.part
    return Fact(
        f"{part.id}: trains at x{link.lanes} in {trial.site.id}",
        f"{part.id} (x{link.able_lanes}) trains at x{link.lanes} in {trial.site.id}, not at x1",
        "the data sheets of card and board list the widths they support; or fit it and look at "
        "LnkSta in `lspci -vv`",
        part.span("links"),
    )


RULE = SeatRule(
    id="LANE008",
    title="width between one lane and full",
    why="Either end has to work at one lane and at its full width; x4 and x8 between are usual, "
    "and so is x2 of a port. A wider card in x2 wiring may fall back to one lane.",
    source="PCI Express Base, link widths a port must support, from memory; product guides PG213 "
    "and PG156, lane reversal with x2 partners, as quoted",
    judge=judge,
)
