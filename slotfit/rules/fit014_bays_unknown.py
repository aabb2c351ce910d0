"""FIT014: drive bays not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A drive on a cable in a chassis of which nobody has said what bays it has."""
    chassis, bay = trial.rig.chassis, trial.item.part.bay
    if chassis is None or chassis.bays is not None or bay is None or not trial.offer.on_cable:
        return
    fact = Fact(
        f"{trial.rig.id}: a free {bay} inch bay for each drive",
        f"{chassis.id} has a {bay} inch bay for each such drive in the plan",
        "count the bays in the chassis' manual, or with the lid off",
        chassis.span(),
    )
    yield Doubt(RULE.id, fact)


RULE = SeatRule(
    id="FIT014",
    title="drive bays not known",
    why="A drive on a cable is screwed into a bay.",
    source="chassis, `bays`",
    judge=judge,
)
