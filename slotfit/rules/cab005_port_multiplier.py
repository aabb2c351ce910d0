"""CAB005: port multiplier on a port that knows none."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A port multiplier where the controller finds one drive at most, or may."""
    knows = trial.receptacle.spec.port_multiplier
    if trial.part.spec.part_class != "port-multiplier" or knows:
        return
    names, facts = trial.named("receptacle"), trial.said("receptacle.port_multiplier")
    if knows is None:
        yield RULE.doubt("knows", names, facts)
    else:
        yield RULE.no("one drive", {**trial.named("part"), **names}, facts)


RULE = SeatRule(
    id="CAB005",
    title="port multiplier on a port that knows none",
    why="Behind a port multiplier the controller has to ask for each drive by a number of its own; "
    "many do not, chipsets above all, and find the first drive or none.",
    source="Serial ATA 3, port multipliers, from memory",
    says={
        "one drive": Wording("{part} is a port multiplier and {receptacle} does not work with one")
    },
    looks={
        "knows": Look(
            "{receptacle}: works with a port multiplier",
            "the controller of {receptacle} works with a port multiplier",
            "the board's or card's manual, 'port multiplier' or 'FIS-based switching'; else the "
            "controller's capabilities in the kernel's log (`dmesg`, 'pmp')",
            decides=True,
        )
    },
    judge=judge,
)
