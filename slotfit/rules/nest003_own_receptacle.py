"""NEST003: plug in a receptacle of the same part."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A plug that hangs, directly or by way of cables, on its own part."""
    mine = trial.item.body
    for name in trial.offer.carriers:
        if trial.problem.item[name].body == mine:
            yield Objection(
                RULE.id,
                f"{trial.site.id} hangs on {mine}, and {trial.item.id} is a plug of {mine} itself",
                written(trial.item.part.span(), trial.site.receptacle.span()),
            )
            return


RULE = SeatRule(
    id="NEST003",
    title="plug in a receptacle of the same part",
    why="A part that is connected only to itself gets lanes from nowhere.",
    source="what nesting is: our own word",
    judge=judge,
)
