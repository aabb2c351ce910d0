"""POW013: watts at the wall's voltage not known."""

from collections.abc import Iterator

from slotfit.model.machine import PowerSupply
from slotfit.model.reason import Look, Verdict
from slotfit.model.watts import Moment, is_low_line, limit_w, needed, short_w
from slotfit.rule import SeatRule, Trial
from slotfit.standards.power import LOW_LINE_W


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part on a supply that gives less at 100 to 127 V, or may, where there may be more."""
    machine, supply = trial.machine, trial.machine.power_supply
    if supply is None or not trial.part.spec.draw_w:
        return
    is_low, low = is_low_line(machine), supply.low_line_w
    if is_low is False or (is_low and low is not None):
        return
    at_low = low_w(trial, supply)
    if at_low >= (limit_w(machine) or 0) or most_w(trial) <= at_low:
        return
    names = trial.named("machine", "supply")
    if is_low:
        told = {"volts": machine.entry.input_v}
        yield RULE.doubt("watts", names, trial.said("supply.low_line_w"), told)
    elif low is None:
        yield RULE.doubt("either", names, trial.said("machine.input_v"))
    else:
        yield RULE.doubt("volts", names, trial.said("machine.input_v"), {"low": low})


def low_w(trial: Trial, supply: PowerSupply) -> float:
    """What may be planned with at 100 to 127 V, as far as anyone knows."""
    said = supply.low_line_w
    one = min(supply.watts, LOW_LINE_W) if said is None else said
    return one * needed(trial.machine) * trial.machine.entry.supply_limit_percent / 100


def most_w(trial: Trial) -> float:
    """All that may be there, in the hungriest moment for which the supply is relied on."""
    machine, most = trial.machine, trial.problem.load[trial.machine.id].most_mw
    moments: list[Moment] = ["work"]
    if short_w(machine, "start") is not None and machine.entry.staggered_start is not True:
        moments.append("start")
    if short_w(machine, "peak") is not None:
        moments.append("peak")
    return max(most[moment] for moment in moments) / 1000


RULE = SeatRule(
    id="POW013",
    title="watts at the wall's voltage not known",
    why="Many server supplies give at 100 to 127 V little more than half of what they give at 200 "
    "to 240 V: 1000 to 1200 W.",
    source="labels of server supplies, common practice, no source",
    looks={
        "watts": Look(
            "{supply}: watts at {volts:g} V",
            "{supply} gives at {volts:g} V as much as the plan needs",
            "the label on its side has a line of watts for each range of volts; write "
            "`low_line_w` in its file",
        ),
        "either": Look(
            "{machine}: volts at the wall",
            "the wall of {machine} has 200 V or more, or {supply} gives at 100 to 127 V as much as "
            "the plan needs",
            "the outlet: write `input_v`; or the supply's label, a line of watts for each range of "
            "volts: write `low_line_w`",
        ),
        "volts": Look(
            "{machine}: volts at the wall",
            "the wall of {machine} has 200 V or more: below 128 V {supply} gives {low:g} W",
            "the outlet, or the electrician; write `input_v`",
        ),
    },
    judge=judge,
    counts_all=True,
)
