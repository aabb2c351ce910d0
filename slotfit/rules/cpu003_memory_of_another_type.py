"""CPU003: memory of another type."""

from collections.abc import Iterator

from slotfit.model.board import Processor
from slotfit.model.machine import FittedMemory
from slotfit.model.problem import Machine
from slotfit.model.reason import Cited, Look, No, Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """Nothing runs in a machine whose memory does not go in, or may not."""
    if not trial.receptacle.on_board:
        return
    yield from refused(trial.machine)
    for one, memory in told(trial.machine):
        if one.memory is None or one.memory.types is None:
            facts = (Cited("processor", one.id, one, "memory.types"),)
            names = trial.named("board")
            yield RULE.doubt("types", names, facts, socket=one.id, type=memory.type)


def refused(machine: Machine) -> Iterator[No]:
    """Modules of a type that the board's sockets do not take."""
    for one, memory in told(machine):
        takes = one.memory.types if one.memory else None
        if takes is not None and memory.type not in takes:
            facts = (
                Cited("memory", one.id, memory, "type"),
                Cited("processor", one.id, one, "memory.types"),
            )
            yield RULE.no(
                "type", {}, facts, machine=machine.id, socket=one.id, type=memory.type, takes=takes
            )


def told(machine: Machine) -> Iterator[tuple[Processor, FittedMemory]]:
    """Sockets with memory of a type that the build file tells."""
    said = machine.entry.memory or {}
    for one in machine.board.processors:
        memory = said.get(one.id)
        if memory is not None and memory.type is not None:
            yield one, memory


RULE = SeatRule(
    id="CPU003",
    title="memory of another type",
    why="Modules of another generation do not go in: the notch is elsewhere. Registered and "
    "unbuffered ones look alike, go in, and do not start.",
    source="common practice, no source",
    says={
        "type": Wording(
            "the memory of {socket} in {machine} is {type} and its sockets take {takes}",
            words={"takes": lambda types: " or ".join(types) or "none"},
        )
    },
    looks={
        "types": Look(
            "{board}: {socket} takes {type}",
            "the memory sockets of {socket} on {board} take {type}",
            "the manual's table of memory; `memory: {{types: [...]}}` of the processor in the "
            "board's file",
        )
    },
    judge=judge,
    machine=refused,
)
