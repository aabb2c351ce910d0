"""WISH001: receptacle other than those named."""

from collections.abc import Iterator

from slotfit.model.reason import Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A receptacle other than those the build file allows; a pin narrows the list to one."""
    wish = trial.part.wish
    allowed = (wish.pin,) if wish.pin else wish.only
    if allowed and trial.receptacle.id not in allowed:
        facts = trial.said("wish.pin" if wish.pin else "wish.only")
        yield RULE.no("elsewhere", trial.named("part", "receptacle"), facts, allowed=allowed)


RULE = SeatRule(
    id="WISH001",
    title="receptacle other than those named",
    why="The build file says where the part goes.",
    source="build file, `pin` and `only`",
    says={
        "elsewhere": Wording(
            "{part} is to go into {allowed}, not into {receptacle}", words={"allowed": " or ".join}
        )
    },
    judge=judge,
    severity="asks",
)
