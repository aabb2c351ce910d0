"""LANE008: width between one lane and full."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link that may fall back to one lane."""
    for link in trial.links:
        if link.lanes > 1 and not link.certain:
            names, able = trial.named("kind", "receptacle"), {"able": link.able_lanes}
            yield RULE.doubt("width", names, trial.said("kind.links"), able, lanes=link.lanes)


RULE = SeatRule(
    id="LANE008",
    title="width between one lane and full",
    why="Either end has to work at one lane and at its full width; x4 and x8 between are usual, "
    "and so is x2 of a port. A wider card in x2 wiring may fall back to one lane.",
    source="PCI Express Base, link widths a port must support, from memory; product guides PG213 "
    "and PG156, lane reversal with x2 partners, as quoted",
    looks={
        "width": Look(
            "{kind}: trains at x{lanes} in {receptacle}",
            "{kind} (x{able}) trains at x{lanes} in {receptacle}, not at x1",
            "the data sheets of card and board list the widths they support; or fit it and look at "
            "LnkSta in `lspci -vv`",
        )
    },
    judge=judge,
)
