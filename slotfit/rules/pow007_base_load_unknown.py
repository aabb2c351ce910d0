"""POW007: base load not known."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part that draws power in a machine whose own load nobody has said."""
    machine, supply = trial.machine.entry, trial.machine.power_supply
    if supply is None or machine.base_w is not None or trial.part.spec.draw_w == 0:
        return
    names, facts = trial.named("machine", "supply"), trial.said("machine.base_w")
    yield RULE.doubt("load", names, facts, {"watts": supply.watts})


RULE = SeatRule(
    id="POW007",
    title="base load not known",
    why="What the machine draws without its parts comes off the supply first.",
    source="build file, `base_w`",
    looks={
        "load": Look(
            "{machine}: base load within what {supply} has left",
            "board, processors, memory and fans of {machine} draw no more than its parts leave of "
            "{watts:g} W",
            "measure at the wall under full load before the rebuild; it is a little more than the "
            "supply then gives",
        )
    },
    gaps=(
        Gap(
            "machine",
            "base_w",
            lambda machine: machine.base_w is None and machine.power_supply is not None,
            "what the machine draws without the parts is not said, so whether the supply suffices "
            "is in doubt",
            "measure at the wall under full load before the rebuild",
        ),
    ),
    judge=judge,
)
