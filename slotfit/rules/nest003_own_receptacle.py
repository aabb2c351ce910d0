"""NEST003: plug in a receptacle of the same part."""

from collections.abc import Iterator

from slotfit.model.reason import No, Verdict, Wording
from slotfit.rule import SeatRule, Trial, Unheld


def judge(trial: Trial) -> Iterator[Verdict]:
    """A plug that hangs, directly or by way of cables, on its own part."""
    mine = trial.part.body
    if any(trial.problem.part[name].body == mine for name in trial.upstream.carriers):
        facts = trial.said("part", "receptacle")
        names = trial.named("receptacle", "body", "part")
        yield RULE.no("own", names, facts)


def unheld(one: Unheld) -> Iterator[No]:
    """Nothing is held to its own receptacles."""
    if one.is_own:
        names = {"receptacle": one.receptacle.id, "body": one.part.body}
        yield RULE.no("itself", names, one.facts)


RULE = SeatRule(
    id="NEST003",
    title="plug in a receptacle of the same part",
    why="A part that is connected only to itself gets lanes from nowhere.",
    source="what nesting is: our own word",
    says={
        "own": Wording("{receptacle} is attached to {body}, and {part} is a plug of {body} itself"),
        "itself": Wording("{receptacle} is on {body} itself"),
    },
    unheld=unheld,
    judge=judge,
)
