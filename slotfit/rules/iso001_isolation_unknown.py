"""ISO001: guest isolation not known."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial, is_function


def judge(trial: Trial) -> Iterator[Verdict]:
    """
    A part for a guest where nobody has said what shares its isolation group.

    A part of the host as well, beside a guest's on a board of which some groups are known: the
    guest's group may reach into this receptacle.
    """
    if trial.upstream.isolation is not None or not is_function(trial.part.spec):
        return
    if trial.part.wish.guest or (guests(trial) and some_known(trial)):
        yield RULE.doubt("group", trial.named("root"), trial.said("root.isolation"))


def guests(trial: Trial) -> bool:
    """Whether any part of the build is for a guest."""
    return any(part.wish.guest and is_function(part.spec) for part in trial.problem.parts)


def some_known(trial: Trial) -> bool:
    """Whether the board says which group some receptacle is in."""
    return any(one.isolation is not None for one in trial.machine.board.receptacles)


RULE = SeatRule(
    id="ISO001",
    title="guest isolation not known",
    why="A part handed to a guest takes its whole isolation group along.",
    source="Linux 6.12 Documentation/driver-api/vfio.rst, read in the source",
    looks={
        "group": Look(
            "{root}: isolation group of its own",
            "{root} has an isolation group of its own",
            "on a running machine list /sys/kernel/iommu_groups/*/devices: nothing but the part "
            "(and its port) may stand in its group",
        )
    },
    gaps=(
        Gap(
            "pcie receptacle",
            "isolation",
            lambda one: one.isolation is None,
            "what shares its isolation group is not said; it matters only for a part that is "
            "handed to a virtual machine",
            "/sys/kernel/iommu_groups on a running machine",
            changes=("place",),
        ),
    ),
    judge=judge,
)
