"""ISO001: guest isolation not known."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial, is_function, on_port_of_board


def judge(trial: Trial) -> Iterator[Verdict]:
    """
    A part for a guest where nobody has said what shares its isolation group.

    A part of the host as well, beside a guest's on a board of which some groups are known: the
    guest's group may reach into this receptacle. So may it into a port with a drive that stays.
    """
    if trial.upstream.isolation is not None:
        if rests_on_its_own_group(trial):
            yield RULE.doubt("group", trial.named("root"), trial.said("board.devices"))
        return
    if not is_function(trial.part.spec) and not is_kept_on_a_port(trial):
        return
    if trial.part.wish.is_handed_over or (guests(trial) and some_known(trial)):
        yield RULE.doubt("group", trial.named("root"), trial.said("root.isolation"))


def rests_on_its_own_group(trial: Trial) -> bool:
    """Whether ports below keep guests apart only if no on-board device is in the slot's group."""
    if trial.machine.board.devices is not None or not trial.part.wish.is_handed_over:
        return False
    word = trial.said("root.isolation")[0].value
    kept_apart = trial.upstream.isolation != f"{trial.machine.id}/{word}"
    shared = trial.part.wish.is_shared and trial.upstream.alone
    return is_function(trial.part.spec) and (kept_apart or shared)


def is_kept_on_a_port(trial: Trial) -> bool:
    """Whether it is a drive that the host keeps, on a port of an on-board controller."""
    keeps = trial.machine.entry.keeps or ()
    return trial.part.id in keeps and on_port_of_board(trial.part, trial.upstream)


def guests(trial: Trial) -> bool:
    """Whether any part of the build is for a guest."""
    return any(part.wish.is_handed_over and is_function(part.spec) for part in trial.problem.parts)


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
    counts_all=True,
)
