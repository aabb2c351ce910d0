"""POW001: more power than the slot gives."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial
from slotfit.standards.cem import CONNECTOR_LANES, made, slot_power_limit_w
from slotfit.standards.power import promised_w


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part that draws more than its receptacle supplies."""
    part, spec = trial.part.spec, trial.receptacle.spec
    draw, supply = part.power.slot_w if part.power else None, spec.power_w
    if not draw or spec.form in ("cooling-mount", "mounting-place"):
        return
    if supply is None:
        if draw > least_w(trial):
            case = "drive" if part.part_class == "drive" else "card"
            case = "header" if spec.form == "fan-header" else case
            names, facts = trial.named("receptacle"), trial.said("receptacle.power_w")
            yield RULE.doubt(case, names, facts, draw=draw)
    elif draw > supply:
        facts = trial.said("part.power.slot_w", "receptacle.power_w")
        names = trial.named("part", "receptacle")
        yield RULE.no("draw", names, facts, draw=draw, supply=supply)


def least_w(trial: Trial) -> float:
    """What the standard promises this part here, in watts; for a card by the smaller connector."""
    part, spec = trial.part.spec, trial.receptacle.spec
    if spec.form != "cem":
        return promised_w(spec.form)
    smallest = CONNECTOR_LANES[0]
    lanes = min(made(part.plug.width) or smallest, made(spec.width) or smallest)
    return slot_power_limit_w(lanes, part.is_low_profile, bool(part.power and part.power.graphics))


LABEL = "{receptacle}: supplies {draw:g} W"
SUPPLIES = "{receptacle} supplies {draw:g} W"
LOOK_IT_UP = (
    "the manual's slot table, or the port's SltCap line (PowerLimit) in `lspci -vv`; 0 W there "
    "means not programmed"
)

HEADER = "the manual names amperes for each header: 1 A at 12 V is 12 W, for all on a splitter"

RULE = SeatRule(
    id="POW001",
    title="more power than the slot gives",
    why="A receptacle supplies so many watts, whatever the part could use.",
    source="the board's own word; else CEM 1.1 pp. 35-36 slot power, as quoted, and the documents "
    "named in standards/power.py",
    says={
        "draw": Wording(
            "{part} draws {draw:g} W from its receptacle and {receptacle} supplies {supply:g} W"
        )
    },
    looks={
        "card": Look(LABEL, SUPPLIES, LOOK_IT_UP, decides=True),
        "drive": Look(
            LABEL, SUPPLIES, LOOK_IT_UP
        ),  # it is seen all the same, and drops out when it is busy
        "header": Look(LABEL, SUPPLIES, HEADER),
    },
    gaps=(
        Gap(
            "receptacle",
            "power_w",
            lambda one: one.form == "cem" and one.power_w is None,
            "what the slot supplies is not said, so cards that draw more than the standard "
            "promises are in doubt",
            "the manual's slot table; on a running machine the PowerLimit of SltCap in `lspci -vv`",
        ),
        Gap(
            "receptacle",
            "power_w",
            lambda one: one.form == "fan-header" and one.power_w is None,
            "what the header supplies is not said, so every fan on it is in doubt",
            HEADER,
        ),
    ),
    judge=judge,
)
