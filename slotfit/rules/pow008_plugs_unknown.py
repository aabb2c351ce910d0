"""POW008: plugs of the supply not known."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part with power sockets on a supply of which nobody has said what plugs it has."""
    power, supply = trial.part.spec.power, trial.machine.power_supply
    if power is None or supply is None or supply.plugs is not None:
        return
    for plug in dict.fromkeys(power.aux):
        names, facts = trial.named("machine"), trial.said("supply.plugs")
        yield RULE.doubt("plugs", names, facts, {"supply": supply.id}, plug=plug)


RULE = SeatRule(
    id="POW008",
    title="plugs of the supply not known",
    why="A card with its own sockets needs them all filled.",
    source="power supply, `plugs`",
    looks={
        "plugs": Look(
            "{machine}: {plug} plugs",
            "{supply} has a {plug} plug for each such socket in the plan",
            "look at the cables that came with this very supply; never use another's",
        )
    },
    gaps=(
        Gap(
            "power supply",
            "plugs",
            lambda supply: supply.plugs is None,
            "which plugs it has is not said, so cards with their own power sockets are in doubt",
            "count the plugs on the cables that came with it, those of the board left out",
        ),
    ),
    judge=judge,
)
