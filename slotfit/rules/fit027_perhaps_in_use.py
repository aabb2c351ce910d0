"""FIT027: receptacle perhaps in use."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A new part where one source says that something is, and a better one that nothing is."""
    doubted = trial.receptacle.on_board and (
        trial.receptacle.spec.id in trial.machine.entry.perhaps_in_use
    )
    if doubted and trial.problem.today.get(trial.part.id) != trial.receptacle.id:
        facts = trial.said("machine.perhaps_in_use")
        yield RULE.doubt("empty", trial.named("receptacle"), facts)


RULE = SeatRule(
    id="FIT027",
    title="receptacle perhaps in use",
    why="Many tables call every slot in use, filled or not; its port is nearer to the slot.",
    source="machine, `perhaps_in_use`; link active and presence detect: PCI Express Base 7.5.3.8 "
    "and 7.5.3.11, from memory",
    looks={
        "empty": Look(
            "{receptacle}: nothing in it",
            "nothing is in {receptacle}, though a table calls it in use",
            "look into it with the lid off; then take it out of `perhaps_in_use`, or add what is "
            "there to `parts`",
            decides=True,
        )
    },
    gaps=(
        Gap(
            "machine",
            "perhaps_in_use",
            lambda machine: bool(machine.perhaps_in_use),
            "sources disagree on whether something is in these receptacles, so a plan that uses "
            "one rests on its being empty",
            "look into each; take out what is empty, and add what is there to `parts`",
            changes=("place", "sequence"),
        ),
    ),
    judge=judge,
    counts_all=True,
)
