"""CPU005: processor without memory."""

from collections.abc import Iterator

from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A fitted processor that has no memory, or of whose memory nobody says, others being told."""
    entry = trial.machine.entry
    if not trial.receptacle.on_board or entry.memory is None:
        return
    for one in trial.machine.board.processors:
        memory = entry.memory.get(one.id)
        if one.id in trial.machine.fitted and (memory is None or not memory.modules):
            facts = (
                Cited("memory", one.id, memory, "count")
                if memory
                else Cited("machine", entry.id, entry, "memory"),
            )
            case = "none" if memory and memory.modules == 0 else "unknown"
            yield RULE.doubt(case, trial.named("machine"), facts, socket=one.id)


RULE = SeatRule(
    id="CPU005",
    title="processor without memory",
    why="A processor without memory of its own fetches everything from another, and many boards do "
    "not start so.",
    source="server boards with two sockets: common practice, no source",
    looks={
        "none": Look(
            "{machine}: starts without memory at {socket}",
            "{machine} starts with no memory at {socket}",
            "the manual's table of memory; without a word there, give each processor its own",
        ),
        "unknown": Look(
            "{machine}: memory at {socket}",
            "{socket} of {machine} has memory",
            "count the modules beside its socket, or `dmidecode -t memory`; write it under "
            "`memory` of the machine",
        ),
    },
    judge=judge,
)
