"""POW010: power for all that sits over a slot not known."""

from collections.abc import Iterator

from slotfit.model.part import PartSpec
from slotfit.model.reason import Look, Verdict
from slotfit.rule import SeatRule, Trial
from slotfit.standards.cem import CONNECTOR_LANES, made, slot_power_limit_w
from slotfit.standards.power import promised_w


def judge(trial: Trial) -> Iterator[Verdict]:
    """
    A nested part that, with its like, may draw more than the receptacle below it all is promised.

    What stands beside it is not decided yet: its owner's like receptacles count as filled with it.
    """
    root = trial.problem.receptacle[trial.upstream.root].spec
    draw, below = drawn_w(trial.part.spec), parts_below(trial)
    if not below or not draw or root.power_w is not None or fed_otherwise(trial, below):
        return
    here = trial.receptacle.spec.form
    like = sum(one.form == here for one in below[0].receptacles)
    if like * draw + sum(map(drawn_w, below)) > promise_w(trial, below[-1]):
        yield RULE.doubt("power", trial.named("root"), trial.said("root.power_w"))


def parts_below(trial: Trial) -> list[PartSpec]:
    """The parts it is nested in, innermost first."""
    return [trial.problem.part[name].spec for name in trial.upstream.carriers]


def drawn_w(part: PartSpec) -> float:
    """What it takes from its receptacle, as far as anyone has said."""
    return (part.power.slot_w or 0) if part.power else 0


def fed_otherwise(trial: Trial, below: list[PartSpec]) -> bool:
    """Its power comes over a cable, from a plug of a part below, or (air movers) from a card."""
    plugged = any(part.power and part.power.aux for part in below)
    return plugged or trial.upstream.on_cable or trial.receptacle.spec.form == "cooling-mount"


def promise_w(trial: Trial, lowest: PartSpec) -> float:
    """What the standard promises the part that sits on the board."""
    root = trial.problem.receptacle[trial.upstream.root].spec
    if root.form != "cem":
        return promised_w(root.form)
    smallest = CONNECTOR_LANES[0]
    graphics = any(p.power and p.power.graphics for p in (trial.part.spec, lowest))
    lanes = min(made(lowest.plug.width) or smallest, made(root.width) or smallest)
    return slot_power_limit_w(lanes, lowest.is_low_profile, graphics)


RULE = SeatRule(
    id="POW010",
    title="power for all that sits over a slot not known",
    why="Whatever sits over a receptacle draws through it; more than the standard promises needs "
    "the board's word.",
    source="CEM 1.1 pp. 35-36, as quoted; other forms: standards/power.py",
    looks={
        "power": Look(
            "{root}: supplies all that sits over it",
            "{root} supplies enough for all that sits over it together",
            "add up what that draws; the manual's slot table, or the port's SltCap line "
            "(PowerLimit) in `lspci -vv`, says what there is; 0 W there means not programmed",
        )
    },
    judge=judge,
)
