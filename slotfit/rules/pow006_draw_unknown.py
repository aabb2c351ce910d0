"""POW006: draw of a part not known."""

from collections.abc import Iterator
from math import inf

from slotfit.hardware.rails import fed_by_plugs, parts_below
from slotfit.model.part import PartSpec
from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial
from slotfit.standards.cem import CONNECTOR_LANES, made, slot_power_limit_w


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part that counts as 0 W where watts are counted, because nobody has said what it draws."""
    if not is_unknown(trial.part.spec):
        return
    in_measure = trial.part.id in trial.problem.load[trial.machine.id].measured
    has_budget = trial.machine.power_supply is not None and not in_measure
    supplied = ((trial.machine.id, "supply"),) if has_budget else ()
    plugged = ((part, "plugs") for part in through_plugs(trial))
    limits = (*supplied, *((receptacle, "slot") for receptacle in tight(trial)), *plugged)
    if limits:
        facts, all_limits = trial.said("kind.power"), {"all_limits": limits}
        yield RULE.doubt("draw", trial.named("kind"), facts, all_limits, limits=limits)


def is_unknown(spec: PartSpec) -> bool:
    """Whether nobody has said what a part draws that does not only pass lanes on."""
    return not spec.only_wires and not spec.is_draw_said


def tight(trial: Trial) -> tuple[str, ...]:
    """Receptacles of stated power below it that may supply less than it draws from them."""
    spec, receptacles = trial.part.spec, trial.problem.receptacle
    fed_elsewhere = trial.receptacle.spec.form == "cooling-mount"
    if fed_elsewhere or (spec.power and spec.power.slot_w is not None):
        return ()
    most = most_w(spec)
    return tuple(
        receptacle
        for receptacle in trial.upstream.fed_through
        if receptacle != trial.receptacle.id or (receptacles[receptacle].spec.power_w or 0) < most
    )


def through_plugs(trial: Trial) -> tuple[str, ...]:
    """The part below whose plugs feed it, if nobody has said what it draws from there."""
    power = trial.part.spec.power
    below = parts_below(trial.problem, trial.upstream.carriers)
    feeder = fed_by_plugs(trial.receptacle.spec.form, below)
    return () if feeder is None or (power and power.slot_w is not None) else (feeder.id,)


def most_w(spec: PartSpec) -> float:
    """What a card may draw from a slot at most; of other forms no such limit is known."""
    if spec.plug.form != "cem":
        return inf
    lanes = made(spec.plug.width) or CONNECTOR_LANES[-1]
    return slot_power_limit_w(lanes, spec.is_low_profile, graphics=True)


Limits = tuple[tuple[str, str], ...]


def in_words(limits: Limits) -> list[str]:
    """What bounds the draw."""
    says = {"supply": "the supply of {} has left", "slot": "{} supplies"}
    return [says.get(kind, "the plugs of {} carry").format(name) for name, kind in limits]


RULE = SeatRule(
    id="POW006",
    title="draw of a part not known",
    why="A part without a figure does not draw nothing; the supply's budget leaves it out.",
    source="part description, `power`; CEM 1.1 pp. 35-36 slot power, as quoted",
    looks={
        "draw": Look(
            "{kind}: draw within what {limits}",
            "what {kind} draws, which nobody has said, is within what {all_limits}",
            "the data sheet's power figure; or measure a machine at the wall with and without the "
            "part",
            words={
                "limits": lambda limits: " and ".join(in_words(limits)),
                "all_limits": lambda limits: " and what ".join(in_words(limits)),
            },
        )
    },
    gaps=(
        Gap(
            "part",
            "power",
            is_unknown,
            "what it draws, from its receptacle and through each plug, is not said, so whether "
            "slot and supply suffice is in doubt",
            "its data sheet; for what takes nothing write `power: {slot_w: 0}`",
        ),
    ),
    judge=judge,
)
