"""WISH004: another processor than asked."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import SeatRule, Trial, hangs_on


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat on another processor than the part has to be near, or on one nobody has named."""
    wish, upstream = trial.part.wish, trial.upstream
    if wish.near is None or not trial.links:
        return
    near = hangs_on(upstream, wish.near)
    if near is None:
        names, facts = trial.named("root"), trial.said("root.from_")
        yield RULE.doubt("processor", names, facts, near=wish.near)
    elif not near and wish.must_be_near:
        names = trial.named("receptacle", "machine", "part")
        facts = trial.said("wish.near", "receptacle.from_")
        yield RULE.no("far", names, facts, processor=upstream.processor, near=wish.near)


RULE = SeatRule(
    id="WISH004",
    title="another processor than asked",
    why="Traffic between processors is slower than within one.",
    source="build file, `near` with `must_be_near`; locality: common practice, no source",
    says={
        "far": Wording(
            "{receptacle} is attached to {processor} of {machine} and {part} is to be near {near}"
        )
    },
    looks={
        "processor": Look(
            "{root}: attached to {near}",
            "{root} is attached to {near}",
            "the board's block diagram or slot table; on a running machine the numa_node file of a "
            "card in the slot, under /sys/bus/pci/devices",
        )
    },
    judge=judge,
    severity="asks",
)
