"""WISH010: place of parts that belong together or apart not known."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import SeatRule, Trial, is_place_unknown


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part of a group in a place of which nobody has said which processor or hub is above."""
    problem = trial.problem
    for case, groups in (("together", problem.together), ("apart", problem.apart)):
        for group in groups:
            if trial.part.id in group.parts and is_place_unknown(group.by, trial.upstream):
                others = tuple(part for part in group.parts if part != trial.part.id)
                names, facts = trial.named("root"), trial.said("root.from_")
                yield RULE.doubt(case, names, facts, by=group.by, others=others)


SAME = "{root} is on the same {by} as {others}"
OTHER = "{root} is on another {by} than {others}"
LOOK_AT_THE_DIAGRAM = (
    "the board's block diagram or slot table; on a running machine the numa_node file of a card in "
    "the slot, under /sys/bus/pci/devices"
)

RULE = SeatRule(
    id="WISH010",
    title="place of parts that belong together or apart not known",
    why="Whether two parts share a processor or a hub is known only where someone has said whence "
    "the lanes come.",
    source="build file, `together` and `apart`; board file, `from`",
    looks={
        "together": Look(SAME, SAME, LOOK_AT_THE_DIAGRAM, words={"others": " and ".join}),
        "apart": Look(OTHER, OTHER, LOOK_AT_THE_DIAGRAM, words={"others": " and ".join}),
    },
    judge=judge,
    severity="asks",
)
