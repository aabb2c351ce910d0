"""WISH009: part being retired."""

from collections.abc import Iterator

from slotfit.model.reason import Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """Any seat of a part that leaves, and of its further plugs."""
    if trial.part.body in trial.problem.retire:
        yield RULE.no("retired", trial.named("body"), trial.said("wish.id"))


RULE = SeatRule(
    id="WISH009",
    title="part being retired",
    why="What leaves has no place at the end.",
    source="build file, `retire`",
    says={"retired": Wording("{body} is being retired")},
    judge=judge,
    severity="asks",
)
