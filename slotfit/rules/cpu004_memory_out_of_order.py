"""CPU004: memory out of the manual's order."""

from collections.abc import Iterator, Sequence

from slotfit.model.machine import FittedMemory
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """Modules in other sockets, or of another number, than the manual lists."""
    if not trial.receptacle.on_board:
        return
    said = trial.machine.entry.memory or {}
    for one in trial.machine.board.processors:
        memory, order = said.get(one.id), one.memory.order if one.memory else None
        if memory is not None and order is not None and is_odd(memory, order):
            facts = (
                Cited("memory", one.id, memory, "count" if memory.in_ is None else "in_"),
                Cited("processor", one.id, one, "memory.order"),
            )
            names = trial.named("machine")
            yield RULE.doubt("order", names, facts, {"order": order}, socket=one.id)
        elif memory is not None and memory.in_ and order is None:
            unknown = Cited("processor", one.id, one, "memory.order")
            yield RULE.doubt("unlisted", trial.named("machine"), (unknown,), socket=one.id)


def is_odd(memory: FittedMemory, order: Sequence[Sequence[str]]) -> bool:
    """Whether no beginning of the order has just these sockets, or so many."""
    filled: list[set[str]] = [set()]
    for together in order:
        filled.append({*filled[-1], *together})
    if memory.in_ is not None:
        return set(memory.in_) not in filled
    return memory.modules is not None and memory.modules not in map(len, filled)


def in_turn(order: Sequence[Sequence[str]]) -> str:
    """`A1 with B1, then A2 with B2`."""
    return ", then ".join(" with ".join(together) for together in order)


RULE = SeatRule(
    id="CPU004",
    title="memory out of the manual's order",
    why="Many boards do not start, run on one channel or leave memory out if modules are in other "
    "sockets than the manual lists.",
    source="tables of memory in server manuals: common practice, no source",
    looks={
        "order": Look(
            "{machine}: memory of {socket}",
            "{machine} starts with the memory of {socket} as it is, out of the manual's order",
            "the manual's order is {order}: fill the sockets so, or see that the firmware counts "
            "all of it and on all channels",
            words={"order": in_turn},
        ),
        "unlisted": Look(
            "{machine}: memory of {socket} in order",
            "the memory of {socket} in {machine} is in the sockets that the manual fills first",
            "the manual's table of memory; write `order` at the board's processor",
        ),
    },
    judge=judge,
)
