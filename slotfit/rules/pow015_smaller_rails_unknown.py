"""POW015: draw from smaller rails not known."""

from collections.abc import Iterator
from math import inf

from slotfit.model.part import PartSpec
from slotfit.model.reason import Look, Verdict
from slotfit.model.watts import may_be_in, needed
from slotfit.rule import SeatRule, Trial
from slotfit.standards.power import DISK_FIVE_VOLT_W, FIVE_VOLT_W


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part whose plugs have 5 V, where all that may be there may take more than is given."""
    machine, supply, spec = trial.machine, trial.machine.power_supply, trial.part.spec
    if supply is None or not most_w(spec):
        return
    there = (part for part in trial.problem.parts if may_be_in(trial.problem, part, machine))
    rails = supply.rails_w or {}
    least = min(rails.values(), default=FIVE_VOLT_W) * needed(machine)
    if sum(most_w(part.spec) for part in there) <= least:
        return
    if supply.rails_w is None:
        yield RULE.doubt("label", trial.named("machine", "supply"), trial.said("supply.rails_w"))
    elif rails and is_silent(spec):
        names = trial.named("kind", "supply")
        yield RULE.doubt("rails", names, trial.said("kind.power.rails_w"))


def is_silent(spec: PartSpec) -> bool:
    """Whether a plug of it has the smaller rails, and nobody has said what it takes there."""
    power = spec.power
    return (
        power is not None
        and power.rails_w is None
        and power.aux_w != 0
        and bool({"sata-power", "molex-4"} & {*power.aux})
    )


def most_w(spec: PartSpec) -> float:
    """What it takes there at most."""
    if spec.power is None:
        return 0
    if not is_silent(spec):
        return sum((spec.power.rails_w or {}).values())
    most = inf if spec.power.aux_w is None else spec.power.aux_w
    is_disk = spec.part_class == "drive" and spec.bay == "3.5"
    return min(most, DISK_FIVE_VOLT_W) if is_disk else most


RULE = SeatRule(
    id="POW015",
    title="draw from smaller rails not known",
    why="Only the plugs of disks have 5 V beside 12 V: a hard disk takes 4 W there, a flash drive "
    "all that it takes, and a supply gives 100 to 130 W.",
    source="Serial ATA 3, power connector, from memory; disk data sheets, 0.6 to 0.8 A at 5 V, as "
    "quoted; labels of supplies, common practice, no source",
    looks={
        "label": Look(
            "{supply}: watts at 5 V",
            "{supply} gives at 5 V what the drives of {machine} take there",
            "its label has amperes at 5 V and 3.3 V, and often watts of both together: write "
            "`rails_w`",
        ),
        "rails": Look(
            "{kind}: watts at 5 V",
            "what {kind} takes at 5 V and 3.3 V is within what {supply} gives there",
            "the disk's label has amperes at 5 V; times five they are watts: write `rails_w`",
        ),
    },
    judge=judge,
    counts_all=True,
)
