"""POW007: base load not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part that draws power in a machine whose own load nobody has said."""
    machine, supply = trial.rig.machine, trial.rig.power_supply
    if supply is None or machine.base_w is not None or trial.item.part.draw_w == 0:
        return
    fact = Fact(
        f"{machine.id}: base load within what {supply.id} has left",
        f"board, processors, memory and fans of {machine.id} draw no more than its parts leave of "
        f"{supply.watts:g} W",
        "measure at the wall under full load before the rebuild; it is a little more than the "
        "supply then gives",
        machine.span(),
    )
    yield Doubt(RULE.id, fact)


RULE = SeatRule(
    id="POW007",
    title="base load not known",
    why="What the machine draws without its parts comes off the supply first.",
    source="build file, `base_w`",
    judge=judge,
)
