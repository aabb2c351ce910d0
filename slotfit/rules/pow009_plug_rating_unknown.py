"""POW009: rating of a 12V-2x6 plug not known."""

from collections.abc import Iterator

from slotfit.hardware.leads import rating_w
from slotfit.model.reason import Look, Verdict
from slotfit.rule import SeatRule, Trial

PLUG = "12v-2x6"


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card whose 12V-2x6 socket needs watts that the plug's shape alone does not promise."""
    power, supply = trial.part.spec.power, trial.machine.power_supply
    if power is None or supply is None or PLUG not in power.aux:
        return
    if supply.plugs is not None and not supply.plugs.get(PLUG):
        return  # an adapter's rating is another rule's word
    names, facts = trial.named("machine"), trial.said("supply.plugs")
    yield RULE.doubt("rating", names, facts, {"supply": supply.id}, rating=rating_w(power, PLUG))


RULE = SeatRule(
    id="POW009",
    title="rating of a 12V-2x6 plug not known",
    why="Two sense contacts tell the card what its plug may carry: 150, 300, 450 or 600 W, or "
    "nothing. The shape says nothing of it.",
    source="ATX version 3 design guide 336521, SENSE0 and SENSE1, as quoted",
    looks={
        "rating": Look(
            f"{{machine}}: {PLUG} plug of {{rating}} W",
            f"the {PLUG} plug of {{supply}} is made for {{rating}} W",
            "the label on the plug or the supply says 150, 300, 450 or 600 W",
        )
    },
    judge=judge,
)
