"""FIT023: room under a card not known."""

from collections.abc import Iterator

from slotfit.listing import listed
from slotfit.model.board import BoardReceptacle
from slotfit.model.reason import Look, Verdict
from slotfit.rule import SeatRule, Trial

BARE_MM = 3
"""Chips of a module without a heat sink are lower, and every card leaves that (common practice, no
source)."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A module with a heat sink where a card may lie over it, nobody having said how high."""
    high, below = trial.part.spec.component_mm, trial.receptacle.spec
    if not isinstance(below, BoardReceptacle) or not below.under or high is None:
        return
    if below.above_mm is None and high > BARE_MM:
        names, facts = trial.named("receptacle", "kind"), trial.said("receptacle.above_mm")
        yield RULE.doubt("room", names, facts, {"slots": below.under}, high=high)


RULE = SeatRule(
    id="FIT023",
    title="room under a card not known",
    why="A module with a high heat sink lifts the card above it out of its slot, or stops it.",
    source="heat sinks of M.2 drives under cards: common practice, no source",
    looks={
        "room": Look(
            "{receptacle}: {high:g} mm below a card",
            "{kind}, {high:g} mm high, fits in {receptacle} under a card in {slots}",
            "measure from the module's board up to a card in that slot, and write `above_mm`; or "
            "take the heat sink off",
            words={"slots": lambda names: listed(names, "or")},
        )
    },
    judge=judge,
)
