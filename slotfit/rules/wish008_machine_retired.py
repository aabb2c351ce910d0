"""WISH008: machine being retired."""

from collections.abc import Iterator

from slotfit.model.reason import Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat in a machine that is taken out of service."""
    if trial.upstream.machine in trial.problem.retire:
        yield RULE.no("retired", trial.named("machine"), trial.said("machine.id"))


RULE = SeatRule(
    id="WISH008",
    title="machine being retired",
    why="What is taken out of service holds nothing at the end.",
    source="build file, `retire`",
    says={"retired": Wording("{machine} is being retired")},
    judge=judge,
    severity="asks",
)
