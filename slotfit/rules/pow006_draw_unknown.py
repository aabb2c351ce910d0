"""POW006: draw of a part not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.part import Part
from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part that counts as 0 W in the supply's budget because nobody has said what it draws."""
    part = trial.item.part
    if trial.rig.power_supply is None or only_wires(part) or is_said(part):
        return
    fact = Fact(
        f"{part.id}: draw within what {trial.rig.id} has left",
        f"what {part.id} draws, which nobody has said, is within what the supply of "
        f"{trial.rig.id} has left",
        "the data sheet's power figure; or measure a machine at the wall with and without the part",
        part.span("power"),
    )
    yield Doubt(RULE.id, fact)


def only_wires(part: Part) -> bool:
    """A cable, riser or passive carrier draws nothing worth counting."""
    return part.wiring == "passive" and bool(part.receptacles or part.part_class == "cable")


def is_said(part: Part) -> bool:
    """Whether the draw is known, from the receptacle and through every plug."""
    power = part.power
    return bool(power and power.slot_w is not None and (power.aux_w is not None or not power.aux))


RULE = SeatRule(
    id="POW006",
    title="draw of a part not known",
    why="A part without a figure does not draw nothing; the supply's budget leaves it out.",
    source="part description, `power`",
    judge=judge,
)
