"""LANE007: order of the lanes not known."""

from collections.abc import Iterator
from dataclasses import replace

from slotfit.hardware.training import passed_on, train
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.model.seat import Segment, Upstream
from slotfit.rule import Gap, SeatRule, Trial, arrangement_of, division


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat whose links train otherwise if the lanes come in the other order."""
    chosen = arrangement_of(trial)
    if chosen is None or chosen.order == "known" or not trial.upstream.segments or not trial.links:
        return
    if outcome(trial, trial.upstream) == outcome(trial, turned_over(trial.upstream)):
        return
    widths = chosen.gives[trial.receptacle.spec.id]
    told = {"division": division(chosen), "root": trial.upstream.root, "widths": widths}
    names = {"group": str(trial.upstream.group), "arrangement": str(chosen.id)}
    facts = (Cited("arrangement", str(chosen.id), chosen, "order"),)
    yield RULE.doubt("order", names, facts, told)


def turned_over(upstream: Upstream) -> Upstream:
    """The same segments, laid from the other end."""
    wired = max(segment.end for segment in upstream.segments)
    segments = sorted(Segment(wired - s.end, s.lanes, s.bus) for s in upstream.segments)
    return replace(upstream, segments=tuple(segments))


def outcome(trial: Trial, upstream: Upstream) -> object:
    """What the part gets from the offer: trained lanes, and what its wires hand on."""
    wires = [passed_on(link, upstream) for link in trial.part.spec.links if link.to]
    return [link.lanes for link in train(trial.part.spec, upstream)], wires


RULE = SeatRule(
    id="LANE007",
    title="order of the lanes not known",
    why="A label such as x8x4x4 does not say which lanes are the wide ones: some firmware names "
    "the high lanes first, and a slot wired in reverse flips them again.",
    source="EDK2-platforms PurleyRcPkg IioRegs.h (high lanes first), RootComplexNVParam.c (low "
    "lanes first), AmdPcieComplex.h (start lane above end lane), read in the source",
    looks={
        "order": Look(
            "{group}: {arrangement} order",
            "with {division} set, {root} gives x{widths} counted from its lane 0",
            "set it, put one drive into the carrier's first socket, then into its last, and see "
            "with `lspci` at which width each trains",
            decides=True,
            words={"widths": lambda widths: "x".join(map(str, widths))},
        )
    },
    gaps=(
        Gap(
            "unevenly split receptacle",
            "label_order",
            lambda _: True,
            "which lanes are the wide ones in an uneven division is not said, so which sockets of "
            "a passive carrier stay dark cannot be answered",
            "`label_order` and `reversed` from the manual; else put one drive in the carrier's "
            "first socket and see whether it appears",
            changes=("check", "place"),
        ),
        Gap(
            "arrangement",
            "order",
            lambda way: way.order == "unknown",
            "which lanes are the wide ones is not known, so which sockets stay dark cannot be "
            "answered",
            "put one drive in the carrier's first socket and see whether it appears",
            changes=("check", "place"),
        ),
    ),
    judge=judge,
)
