"""COOL008: watts of a module not known."""

from collections.abc import Iterator

from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import SeatRule, Trial
from slotfit.standards.cages import CAGES


def judge(trial: Trial) -> Iterator[Verdict]:
    """A port in use whose module nobody has named, or of which nobody knows what it draws."""
    for name, end in trial.part.wish.ends.items():
        port = trial.part.spec.port.get(name)
        needs_none = port is not None and port.cage and CAGES[port.cage].most_m is not None
        if end.by is None and not needs_none:
            facts = (Cited("end", f"{trial.part.id}/{name}", end, "by"),)
            yield RULE.doubt("which", trial.named("part"), facts, port=name)
        elif end.by is not None and not end.by.is_draw_said:
            drawn = (Cited("module", end.by.id, end.by, "power"),)
            yield RULE.doubt("draw", {"module": end.by.id}, drawn)


RULE = SeatRule(
    id="COOL008",
    title="watts of a module not known",
    why="A module draws 1 to 12 W through its card's slot and gives them to the card's air; a "
    "passive copper cable next to nothing.",
    source="watts of modules as quoted and from memory",
    looks={
        "which": Look(
            "{part}: module in {port}",
            "what is plugged into {port} of {part} fits, reaches and adds no heat worth counting",
            "read its label, then name it: `by` of the end",
        ),
        "draw": Look(
            "{module}: watts",
            "{module} draws next to nothing",
            "its label or data sheet, 'power class'; then `power: {{slot_w: ...}}` in its file",
        ),
    },
    judge=judge,
)
