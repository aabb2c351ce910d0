"""LANE007: order of the lanes not known."""

from collections.abc import Iterator

from slotfit.hardware.order import how_to_tell, outcome, telling, turned_over
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial, arrangement_of, division


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat whose links train otherwise if the lanes come in the other order."""
    chosen = arrangement_of(trial)
    if chosen is None or chosen.order == "known" or not trial.upstream.segments or not trial.links:
        return
    spec, upstream = trial.part.spec, trial.upstream
    if outcome(spec, upstream) == outcome(spec, turned_over(upstream)):
        return
    widths = chosen.gives[trial.receptacle.spec.id]
    told = {
        "division": division(chosen),
        "root": upstream.root,
        "widths": widths,
        "tell": telling(spec, upstream),
    }
    names = {"group": str(upstream.group), "arrangement": str(chosen.id)}
    facts = (Cited("arrangement", str(chosen.id), chosen, "order"),)
    yield RULE.doubt("order", names, facts, told)


LOOK = (
    "set x8x4x4 and put one drive into the carrier's socket at lane 4, of four the second: only "
    "where lane 0 has four lanes does it appear (the first appears either way)"
)

RULE = SeatRule(
    id="LANE007",
    title="order of the lanes not known",
    why="A label such as x8x4x4 does not say which lanes are the wide ones: some firmware names "
    "the high lanes first, and a slot wired in reverse flips them again.",
    source="EDK2-platforms ba037b96944c IioRegs.h (high lanes first), RootComplexNVParam.c (low "
    "lanes first), a header of PCIe complexes (start lane above end lane), read in the source",
    looks={
        "order": Look(
            "{group}: {arrangement} order",
            "with {division} set, {root} gives x{widths} counted from its lane 0",
            "{tell}",
            decides=True,
            words={"widths": lambda widths: "x".join(map(str, widths)), "tell": how_to_tell},
        )
    },
    gaps=(
        Gap(
            "unevenly split receptacle",
            "label_order",
            lambda _: True,
            "which lanes are the wide ones in an uneven division is not said, so which sockets of "
            "a passive carrier are not detected cannot be answered",
            f"`label_order` and `reversed` from the manual; else {LOOK}",
            changes=("check", "place"),
        ),
        Gap(
            "arrangement",
            "order",
            lambda way: way.order == "unknown",
            "which lanes are the wide ones is not known, so which sockets are not detected cannot "
            "be answered",
            LOOK,
            changes=("check", "place"),
        ),
    ),
    judge=judge,
)
