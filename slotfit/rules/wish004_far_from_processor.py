"""WISH004: another processor than asked."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, hangs_on, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat on another processor than the part has to be near, or on one nobody has named."""
    wish, offer = trial.item.wish, trial.offer
    if wish.near is None or not trial.links:
        return
    near = hangs_on(offer, wish.near)
    if near is None:
        yield Doubt(RULE.id, processor_unknown(trial, wish.near))
    elif not near and wish.must_be_near:
        yield Objection(
            RULE.id,
            f"{trial.site.id} hangs on {offer.processor} of {offer.machine} and {trial.item.id} "
            f"is to be near {wish.near}",
            written(wish.span("near"), trial.site.receptacle.span("from_")),
        )


def processor_unknown(trial: Trial, near: str) -> Fact:
    """Nobody has said which processor the lanes come from."""
    root = trial.offer.root
    return Fact(
        f"{root}: hangs on {near}",
        f"{root} hangs on {near}",
        "the board's block diagram or slot table; on a running machine the numa_node file of a "
        "card in the slot, under /sys/bus/pci/devices",
        trial.problem.site[root].receptacle.span(),
    )


RULE = SeatRule(
    id="WISH004",
    title="another processor than asked",
    why="Traffic between processors is slower than within one.",
    source="build file, `near` with `must_be_near`; locality: common practice, no source",
    judge=judge,
    severity="asks",
)
