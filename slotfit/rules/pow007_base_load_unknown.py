"""POW007: base load not known."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.model.watts import limit_w
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part that draws power in a machine whose own load nobody has said."""
    supply = trial.machine.power_supply
    load, limit = trial.problem.load[trial.machine.id], limit_w(trial.machine)
    if supply is None or limit is None or trial.part.spec.draw_w == 0:
        return
    names = trial.named("machine", "supply")
    if not load.is_known:
        yield RULE.doubt("load", names, trial.said("machine.base_w"), {"watts": supply.watts})
    elif load.unrelieved_mw > round(limit * 1000):
        yield RULE.doubt("relief", names, trial.said("machine.measured"))


RULE = SeatRule(
    id="POW007",
    title="base load not known",
    why="What the machine draws without its parts comes off the supply first.",
    source="build file, `base_w` and `measured`",
    looks={
        "load": Look(
            "{machine}: base load within what {supply} has left",
            "board, processors, memory and fans of {machine} draw no more than its parts leave of "
            "{watts:g} W",
            "measure at the wall under full load before the rebuild; it is a little more than the "
            "supply then gives",
        ),
        "relief": Look(
            "{machine}: watts that come out with parts",
            "what comes out of {machine} drew what its description says while the watts were "
            "measured",
            "measure at the wall again without those parts, and name the others in `with`",
        ),
    },
    gaps=(
        Gap(
            "machine",
            "base_w",
            lambda machine: (
                machine.base_w is None
                and machine.power_supply is not None
                and (machine.measured is None or machine.measured.load_w is None)
            ),
            "what the machine draws without the parts is not said, so whether the supply suffices "
            "is in doubt",
            "measure at the wall under full load before the rebuild",
        ),
    ),
    judge=judge,
    counts_all=True,
)
