"""CPU001: processor absent."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part with links on lanes of a processor that is not fitted, or may be such a one."""
    if not trial.links:
        return
    if trial.upstream.absent:
        facts = trial.said("machine.processors", "root.from_")
        yield RULE.no("absent", trial.named("root"), facts, processor=trial.upstream.absent)
    elif trial.upstream.processor is None and trial.upstream.segments and some_absent(trial):
        yield RULE.doubt("fitted", trial.named("root"), trial.said("root.from_"))


def some_absent(trial: Trial) -> bool:
    """Whether a processor socket of the board is empty."""
    return any(one.id not in trial.machine.fitted for one in trial.machine.board.processors)


RULE = SeatRule(
    id="CPU001",
    title="processor absent",
    why="Lanes of a socket without a processor are dead.",
    source="slot tables by processor count in server manuals, as quoted; DSP0134 slot usage 05h "
    "Unavailable, as quoted",
    says={"absent": Wording("the lanes of {root} come from {processor}, which is not fitted")},
    looks={
        "fitted": Look(
            "{root}: its processor is fitted",
            "{root} is attached to a processor that is fitted",
            "the board's slot table lists slots by processor; or fit a card and look for it in "
            "`lspci`",
            decides=True,
        )
    },
    gaps=(
        Gap(
            "lane source",
            "from",
            lambda one: one.from_ is None,
            "which processor or hub its lanes come from is not said, so distance, shared links and "
            "empty sockets cannot be counted",
            "the manual's block diagram; on a running machine `slotfit read`, or fit a card and "
            "look where `lspci -t` attaches it",
            changes=("place", "check", "compare"),
        ),
    ),
    judge=judge,
    severity="darkens",
)
