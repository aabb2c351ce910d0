"""WISH002: receptacle banned for the part."""

from collections.abc import Iterator

from slotfit.model.reason import Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A receptacle the build file rules out."""
    if trial.receptacle.id in trial.part.wish.ban:
        yield RULE.no("banned", trial.named("part", "receptacle"), trial.said("wish.ban"))


RULE = SeatRule(
    id="WISH002",
    title="receptacle banned for the part",
    why="The build file says where the part does not go.",
    source="build file, `ban`",
    says={"banned": Wording("{part} is not to go into {receptacle}")},
    judge=judge,
    severity="asks",
)
