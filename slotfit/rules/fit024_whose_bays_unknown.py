"""FIT024: whose bays a backplane's are not known."""

from collections.abc import Iterator

from slotfit.hardware.bays import SIZES, bays_behind
from slotfit.model.part import PartSpec
from slotfit.model.reason import Look, Verdict
from slotfit.model.watts import may_be_in
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A backplane where the chassis may have too few bays, if it stands behind some of them."""
    chassis, spec = trial.machine.chassis, trial.part.spec
    bays = chassis.bay_counts if chassis else None
    if spec.part_class != "backplane" or spec.own_bays is not None or bays is None:
        return
    there = [
        part.spec for part in trial.problem.parts if may_be_in(trial.problem, part, trial.machine)
    ]
    for sizes in SIZES:
        wanted = sum(bays_behind(one, sizes) for one in there if may_take(one))
        wanted += sum(one.bay in sizes for one in there if one.part_class != "backplane")
        if wanted > sum(bays.get(size, 0) for size in sizes):
            yield RULE.doubt("whose", trial.named("kind", "chassis"), trial.said("kind.own_bays"))
            return


def may_take(part: PartSpec) -> bool:
    """Whether it is a backplane that may stand behind bays of the chassis."""
    return part.part_class == "backplane" and part.own_bays is not True


RULE = SeatRule(
    id="FIT024",
    title="whose bays a backplane's are not known",
    why="A backplane stands behind bays of the chassis, which then take no drive on a cable; a "
    "cage brings its own.",
    source="common practice, no source",
    looks={
        "whose": Look(
            "{kind}: whose bays",
            "{chassis} has bays for all that is attached by cables, beside those of {kind}",
            "look whether it came with its own frame or is screwed to the chassis' drive bays: "
            "`own_bays: true`, or `false`",
        )
    },
    gaps=(
        Gap(
            "part",
            "own_bays",
            lambda part: part.part_class == "backplane" and part.own_bays is None,
            "whether it stands behind bays of the chassis or brings its own is not said, so nobody "
            "counts whether there are enough",
            "`own_bays: true` of a cage, `false` where it is screwed behind the chassis' bays",
            changes=("place",),
        ),
    ),
    judge=judge,
    counts_all=True,
)
