"""FIT014: drive bays not known."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A drive on a cable in a chassis of which nobody has said what bays it has."""
    chassis, bay = trial.machine.chassis, trial.part.spec.bay
    if chassis is None or chassis.bays is not None or bay is None or not trial.upstream.on_cable:
        return
    above = next((trial.problem.part[one].spec for one in trial.upstream.carriers), None)
    if above is not None and above.own_bays:
        return
    facts = trial.said("chassis.bays")
    yield RULE.doubt("bays", trial.named("machine"), facts, {"chassis": chassis.id}, bay=bay)


RULE = SeatRule(
    id="FIT014",
    title="drive bays not known",
    why="A drive on a cable is screwed into a bay.",
    source="chassis, `bays`",
    looks={
        "bays": Look(
            "{machine}: a free {bay} inch bay for each drive",
            "{chassis} has a {bay} inch bay for each such drive in the plan",
            "count the bays in the chassis' manual, or with the lid off",
        )
    },
    gaps=(
        Gap(
            "chassis",
            "bays",
            lambda case: case.bays is None,
            "how many drive bays it has is not said, so drives on cables are in doubt",
            "count them, by size",
            changes=("place",),
        ),
    ),
    judge=judge,
)
