"""LANE015: shared link of lanes not known."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link on lanes of which nobody has said that they do not come over one of the hubs."""
    hubs = trial.machine.board.hubs
    if trial.upstream.processor is None and hubs and any(ends(trial)):
        told = {"hubs": tuple(hub.id for hub in hubs)}
        yield RULE.doubt("hub", trial.named("root"), trial.said("root.from_"), told)


def ends(trial: Trial) -> Iterator[bool]:
    """Links that train and end in the part itself."""
    return (bool(link.lanes) and not link.to for link in trial.links)


RULE = SeatRule(
    id="LANE015",
    title="shared link of lanes not known",
    why="All that is attached to a chipset or an on-board switch shares one uplink; lanes of "
    "unknown origin may be among them, and then carry less.",
    source="board file, `from` and `hubs`; chipset uplinks: common practice, no source",
    looks={
        "hub": Look(
            "{root}: lanes straight from a processor",
            "the lanes of {root} come straight from a processor, not over {hubs}",
            "the block diagram in the board's manual shows what is attached to the chipset or on a "
            "switch; so does `lspci -t` of a running machine, for a switch",
            words={"hubs": " or ".join},
        )
    },
    judge=judge,
)
