"""FIT021: cooler on the memory."""

from collections.abc import Iterator

from slotfit.hardware.coolers import Cooled, coolers
from slotfit.model.problem import Machine
from slotfit.model.reason import Cited, Look, No, Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A machine whose cooler cannot go on over its memory, or may not."""
    if not trial.receptacle.on_board:
        return
    yield from refused(trial.machine)
    for one in coolers(trial.machine):
        for fact in missing(one):
            names = trial.named("machine")
            yield RULE.doubt("clear", names, (fact,), socket=one.processor.id)


def refused(machine: Machine) -> Iterator[No]:
    """Modules are higher than the room under the cooler that stands over them."""
    for one in coolers(machine):
        memory, clear = one.memory, one.cooler.clear_mm
        if memory is None or memory.height_mm is None or clear is None or not stands_over(one):
            continue
        if memory.height_mm > clear:
            facts = (
                Cited("memory", one.processor.id, memory, "height_mm"),
                one.of_cooler("to_memory_mm"),
                one.of_cooler("clear_mm"),
                one.of_processor("memory_at_mm"),
            )
            yield RULE.no(
                "over",
                {},
                facts,
                machine=machine.id,
                socket=one.processor.id,
                high=memory.height_mm,
                clear=clear,
            )


def stands_over(one: Cooled) -> bool | None:
    """Whether the cooler stands over memory sockets; None if nobody can tell."""
    reach, away = one.cooler.to_memory_mm, one.processor.memory_at_mm
    if reach is None:
        return False  # not asked
    return None if away is None else reach > away


def missing(one: Cooled) -> Iterator[Cited]:
    """What must be known to tell; the first such fact."""
    if (over := stands_over(one)) is None:
        yield one.of_processor("memory_at_mm")
    elif over and one.cooler.clear_mm is None:
        yield one.of_cooler("clear_mm")
    elif over and (one.memory is None or one.memory.height_mm is None):
        told = one.memory
        entry = Cited("machine", one.machine.id, one.machine.entry, "memory")
        yield Cited("memory", one.processor.id, told, "height_mm") if told else entry


RULE = SeatRule(
    id="FIT021",
    title="cooler on the memory",
    why="A cooler that stands over the memory sockets leaves room for low modules alone.",
    source="figures of cooler and modules in the build file, of the socket in the board file",
    says={
        "over": Wording(
            "the memory of {socket} in {machine} is {high:g} mm high and the cooler over it leaves "
            "{clear:g} mm"
        )
    },
    looks={
        "clear": Look(
            "{machine}: memory under the cooler",
            "the cooler on {socket} of {machine} goes on over the memory modules",
            "measure from the middle of the processor's socket to the nearest memory socket, the "
            "room under the cooler there, and the modules with their heat spreaders",
            decides=True,
        )
    },
    judge=judge,
    machine=refused,
)
