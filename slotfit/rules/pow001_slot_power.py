"""POW001: more power than the slot gives."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written
from slotfit.standards.cem import slot_power_limit_w


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part that draws more than its receptacle supplies."""
    power, receptacle = trial.item.part.power, trial.site.receptacle
    draw = power.slot_w if power else None
    if draw is None or trial.site.receptacle.form == "cooling-mount":
        return
    if receptacle.power_w is not None:
        if draw > receptacle.power_w:
            yield Objection(
                RULE.id,
                f"{trial.item.id} draws {draw:g} W from its slot and {trial.site.id} supplies "
                f"{receptacle.power_w:g} W",
                written(power.span("slot_w") if power else None, receptacle.span("power_w")),
            )
    elif draw > least_w(trial):
        yield Doubt(RULE.id, unknown(trial, draw))


def least_w(trial: Trial) -> float:
    """What the standard promises any card here, in watts; no promise is known for other forms."""
    receptacle, power = trial.site.receptacle, trial.item.part.power
    if receptacle.form != "cem" or receptacle.width is None:
        return 0.0 if receptacle.form != "cem" else 10.0
    low = trial.item.part.bracket == "low"
    return slot_power_limit_w(receptacle.width, low, bool(power and power.graphics))


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
    why="A slot supplies so many watts, whatever the card could use.",
    source="CEM slot power classes, as quoted; the board's own word where it has one",
    judge=judge,
)
