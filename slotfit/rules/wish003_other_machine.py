"""WISH003: another machine than asked."""

from collections.abc import Iterator

from slotfit.model.reason import Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat in a machine the part does not belong to."""
    asked = trial.part.wish.machine
    if asked and asked != trial.upstream.machine:
        names = {**trial.named("part"), "asked": asked, **trial.named("receptacle", "machine")}
        yield RULE.no("elsewhere", names, trial.said("wish.machine"))


RULE = SeatRule(
    id="WISH003",
    title="another machine than asked",
    why="The build file says which machine the part belongs to.",
    source="build file, `machine`",
    says={"elsewhere": Wording("{part} is to go into {asked} and {receptacle} is in {machine}")},
    judge=judge,
    severity="asks",
)
