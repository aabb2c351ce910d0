"""POW001: more power than the slot gives."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written
from slotfit.standards.cem import CONNECTOR_LANES, made, slot_power_limit_w
from slotfit.standards.power import promised_w


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part that draws more than its receptacle supplies."""
    power, receptacle = trial.item.part.power, trial.site.receptacle
    if power is None or not power.slot_w or receptacle.form == "cooling-mount":
        return
    if receptacle.power_w is None:
        if power.slot_w > least_w(trial):
            yield Doubt(RULE.id, unknown(trial, power.slot_w))
    elif power.slot_w > receptacle.power_w:
        yield Objection(
            RULE.id,
            f"{trial.item.id} draws {power.slot_w:g} W from its receptacle and {trial.site.id} "
            f"supplies {receptacle.power_w:g} W",
            written(power.span("slot_w"), receptacle.span("power_w")),
        )


def least_w(trial: Trial) -> float:
    """What the standard promises this part here, in watts; for a card by the smaller connector."""
    part, receptacle = trial.item.part, trial.site.receptacle
    if receptacle.form != "cem":
        return promised_w(receptacle.form)
    smallest = CONNECTOR_LANES[0]
    lanes = min(made(part.plug.width) or smallest, made(receptacle.width) or smallest)
    low = part.bracket in ("low", "both")
    return slot_power_limit_w(lanes, low, bool(part.power and part.power.graphics))


def unknown(trial: Trial, draw: float) -> Fact:
    """Nobody has said what the receptacle supplies."""
    return Fact(
        f"{trial.site.id}: supplies {draw:g} W",
        f"{trial.site.id} supplies {draw:g} W",
        "the manual's slot table, or the port's SltCap line (PowerLimit) in `lspci -vv`; 0 W "
        "there means not programmed",
        trial.site.receptacle.span(),
    )


RULE = SeatRule(
    id="POW001",
    title="more power than the slot gives",
    why="A receptacle supplies so many watts, whatever the part could use.",
    source="the board's own word; else CEM 1.1 pp. 35-36 slot power, as quoted, and the documents "
    "named in standards/receptacle_power.py",
    judge=judge,
)
