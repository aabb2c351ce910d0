"""LANE008: width between one lane and full."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link that may fall back to one lane."""
    for link in trial.links:
        if link.lanes > 1 and not link.certain:
            yield Doubt(RULE.id, narrows(trial, link.able_lanes, link.lanes))
            return


def narrows(trial: Trial, able: int, lanes: int) -> Fact:
    """The fact that part and port agree on the width between."""
    return Fact(
        f"{trial.item.part.id}: trains at x{lanes}",
        f"{trial.item.id} (x{able}) trains at x{lanes} rather than x1",
        "the card's data sheet lists the widths it supports; or fit it and look at LnkSta in "
        "`lspci -vv`",
        trial.item.part.span(),
    )


RULE = SeatRule(
    id="LANE008",
    title="width between one lane and full",
    why="A port must work at one lane and at its full width; widths between are usual but optional.",
    source="PCIe Base, link width rules, from memory; facts A5",
    judge=judge,
)
