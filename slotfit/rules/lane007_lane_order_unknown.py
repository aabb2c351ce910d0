"""LANE007: order of the lanes not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.hardware.training import passed_on, train
from slotfit.model.board import Arrangement
from slotfit.model.seat import Doubt, Fact, Offer, Segment, Verdict
from slotfit.rule import SeatRule, Trial, arrangement_of, division


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat whose links train otherwise if the lanes come in the other order."""
    chosen = arrangement_of(trial)
    if chosen is None or chosen.order == "known" or not trial.offer.segments or not trial.links:
        return
    if outcome(trial, trial.offer) != outcome(trial, turned_over(trial.offer)):
        yield Doubt(RULE.id, as_written(trial, chosen))


def turned_over(offer: Offer) -> Offer:
    """The same segments, laid from the other end."""
    wired = max(segment.end for segment in offer.segments)
    segments = sorted(Segment(wired - s.end, s.lanes, s.bus) for s in offer.segments)
    return offer._replace(segments=tuple(segments))


def outcome(trial: Trial, offer: Offer) -> object:
    """What the part gets from the offer: trained lanes, and what its wires hand on."""
    wires = [passed_on(link, offer) for link in trial.item.part.links if link.to]
    return [link.lanes for link in train(trial.item.part, offer)], wires


def as_written(trial: Trial, chosen: Arrangement) -> Fact:
    """The fact that the lanes come in the order this seat needs."""
    order = "x".join(str(width) for width in chosen.gives[trial.site.receptacle.id])
    return Fact(
        f"{trial.offer.group}: {chosen.id} order",
        f"with {division(chosen)} set, {trial.offer.root} gives x{order} counted from its lane 0",
        "set it, put one drive into the carrier's first socket, then into its last, and see with "
        "`lspci` at which width each trains",
        chosen.span("order"),
    )


RULE = SeatRule(
    id="LANE007",
    title="order of the lanes not known",
    why="A label such as x8x4x4 does not say which lanes are the wide ones: some firmware names "
    "the high lanes first, and a slot wired in reverse flips them again.",
    source="EDK2-platforms PurleyRcPkg IioRegs.h (high lanes first), RootComplexNVParam.c (low "
    "lanes first), AmdPcieComplex.h (start lane above end lane), read in the source",
    judge=judge,
)
