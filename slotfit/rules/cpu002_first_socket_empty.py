"""CPU002: first socket empty."""

from collections.abc import Iterator

from slotfit.listing import by_name
from slotfit.model.board import Processor
from slotfit.model.problem import Machine
from slotfit.model.reason import Cited, Look, No, Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """Nothing runs in a machine that does not start."""
    if not trial.receptacle.on_board:
        return
    yield from refused(trial.machine)
    # By its name: the order of a file decides nothing.
    first = min(trial.machine.board.processors, key=lambda one: by_name(one.id))
    if first in empty(trial.machine) and first.must_be_filled is None:
        facts = (Cited("processor", first.id, first, "must_be_filled"),)
        yield RULE.doubt("first", trial.named("machine"), facts, socket=first.id)


def refused(machine: Machine) -> Iterator[No]:
    """A socket that must be filled is empty."""
    for one in empty(machine):
        if one.must_be_filled:
            facts = (
                Cited("processor", one.id, one, "must_be_filled"),
                Cited("machine", machine.id, machine.entry, "processors"),
            )
            yield RULE.no("empty", {}, facts, machine=machine.id, socket=one.id)


def empty(machine: Machine) -> list[Processor]:
    """Sockets without a processor."""
    return [one for one in machine.board.processors if one.id not in machine.fitted]


RULE = SeatRule(
    id="CPU002",
    title="first socket empty",
    why="Most boards with two sockets start only with a processor in the first.",
    source="server boards with two sockets: common practice, no source",
    says={"empty": Wording("{machine} does not start while {socket} is empty")},
    looks={
        "first": Look(
            "{machine}: starts without {socket}",
            "{machine} starts while {socket} is empty",
            "the manual's order of fitting processors; `must_be_filled` in the board's file",
            decides=True,
        )
    },
    judge=judge,
    machine=refused,
)
