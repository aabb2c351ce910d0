"""POW008: plugs of the supply not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part with power sockets on a supply of which nobody has said what plugs it has."""
    power, supply = trial.item.part.power, trial.rig.power_supply
    if power is None or supply is None or supply.plugs is not None:
        return
    for plug in dict.fromkeys(power.aux):
        fact = Fact(
            f"{trial.rig.id}: {plug} plugs",
            f"{supply.id} has a {plug} plug for each such socket in the plan",
            "look at the cables that came with this very supply; never use another's",
            supply.span(),
        )
        yield Doubt(RULE.id, fact)


RULE = SeatRule(
    id="POW008",
    title="plugs of the supply not known",
    why="A card with its own sockets needs them all filled.",
    source="power supply, `plugs`",
    judge=judge,
)
