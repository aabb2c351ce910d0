"""LANE007: order of the lanes not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.board import Arrangement
from slotfit.model.seat import Doubt, Fact, Offer, Segment, Trained, Verdict
from slotfit.rule import SeatRule, Trial, arrangement_of
from slotfit.training import passed_on, train


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat whose links train otherwise if the lanes come in the other order."""
    chosen = arrangement_of(trial)
    if chosen is None or chosen.order == "known" or not trial.links:
        return
    turned = turned_over(trial.offer)
    if outcome(trial, trial.offer) != outcome(trial, turned):
        yield Doubt(RULE.id, as_written(trial, chosen))


def turned_over(offer: Offer) -> Offer:
    """The same segments, laid from the other end."""
    wired = max(segment.end for segment in offer.segments)
    segments = sorted(Segment(wired - s.end, s.lanes, s.bus) for s in offer.segments)
    return Offer(offer.machine, tuple(segments), offer.generation)


def outcome(trial: Trial, offer: Offer) -> object:
    """What the part gets from the offer: trained lanes, and what its wires hand on."""
    trained: tuple[Trained, ...] = train(trial.item.part, offer)
    wires = [passed_on(link, offer) for link in trial.item.part.links if link.to]
    return [link.lanes for link in trained], wires


def as_written(trial: Trial, chosen: Arrangement) -> Fact:
    """The fact that the lanes come in the order this seat needs."""
    order = "x".join(str(width) for width in chosen.gives[trial.site.receptacle.id])
    return Fact(
        f"{trial.offer.group}: {chosen.id} order",
        f"with {chosen.setting or chosen.id} set, {trial.offer.root} gives x{order} counted from "
        "its lane 0",
        "set it, put one drive into the carrier's first socket, then into its last, and see with "
        "`lspci` at which width each trains",
        chosen.span(),
    )


RULE = SeatRule(
    id="LANE007",
    title="order of the lanes not known",
    why="A label such as x8x4x4 does not say which lanes are the wide ones: some firmware names the high lanes first, and a reversed slot flips them again.",
    source="facts H1: firmware families list high lanes first or low lanes first; reversed wiring has start lane above end lane",
    judge=judge,
)
