"""POW006: draw of a part not known."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from slotfit.model.part import Part
from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial
from slotfit.standards.cem import CONNECTOR_LANES, made, slot_power_limit_w


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part that counts as 0 W where watts are counted, because nobody has said what it draws."""
    part, rig = trial.item.part, trial.rig
    if only_wires(part) or is_said(part):
        return
    limits = [f"the supply of {rig.id} has left"] if rig.power_supply else []
    limits += [f"{site} supplies" for site in tight(trial)]
    if not limits:
        return
    fact = Fact(
        f"{part.id}: draw within what {' and '.join(limits)}",
        f"what {part.id} draws, which nobody has said, is within what {' and what '.join(limits)}",
        "the data sheet's power figure; or measure a machine at the wall with and without the part",
        part.span("power"),
    )
    yield Doubt(RULE.id, fact)


def tight(trial: Trial) -> tuple[str, ...]:
    """Receptacles of stated power below it that may supply less than it draws from them."""
    part, sites = trial.item.part, trial.problem.site
    fed_elsewhere = trial.site.receptacle.form == "cooling-mount"
    if fed_elsewhere or (part.power and part.power.slot_w is not None):
        return ()
    most = most_w(part)
    return tuple(
        site
        for site in trial.offer.fed_through
        if site != trial.site.id or (sites[site].receptacle.power_w or 0) < most
    )


def most_w(part: Part) -> float:
    """What a card may draw from a slot at most; of other forms no such limit is known."""
    if part.plug.form != "cem":
        return inf
    low = part.bracket in ("low", "both")
    return slot_power_limit_w(made(part.plug.width) or CONNECTOR_LANES[-1], low, graphics=True)


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
    source="part description, `power`; CEM 1.1 pp. 35-36 slot power, as quoted",
    judge=judge,
)
