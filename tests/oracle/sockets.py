"""What stands on and beside a machine's processors: coolers and memory."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.model.board import Processor
from slotfit.model.machine import Cooler, FittedMemory
from slotfit.model.problem import Part
from tests.oracle.spot import Spot, fitted

Word = str | tuple[object, ...]


def socket_by_socket(spot: Spot) -> Iterator[Word]:
    """What stands on and beside each processor: its cooler, its memory."""
    machine, case = spot.machine, spot.machine.chassis
    for processor in machine.board.processors:
        cooler = (machine.entry.coolers or {}).get(processor.id)
        memory = (machine.entry.memory or {}).get(processor.id)
        if cooler and cooler.height_mm is not None and case:
            if case.cooler_height_mm is None:
                yield ("lid", machine.id, cooler.height_mm)
            elif cooler.height_mm > case.cooler_height_mm:
                yield "lid on the cooler"
        if cooler and cooler.to_memory_mm is not None:
            yield from above_memory(spot, processor, cooler, memory)
        yield from modules_of(spot, processor, memory)


def above_memory(
    spot: Spot, processor: Processor, cooler: Cooler, memory: FittedMemory | None
) -> Iterator[Word]:
    """Under a cooler that reaches beyond the first memory socket modules must be low."""
    away, high = processor.memory_at_mm, memory.height_mm if memory else None
    if away is not None and (cooler.to_memory_mm or 0) <= away:
        return
    if away is None:
        yield ("over memory", spot.machine.id, processor.id, "distance")
    elif cooler.clear_mm is None:
        yield ("over memory", spot.machine.id, processor.id, "below")
    elif high is None:
        yield ("over memory", spot.machine.id, processor.id, "modules")
    elif high > cooler.clear_mm:
        yield "cooler on the memory"


def modules_of(spot: Spot, processor: Processor, memory: FittedMemory | None) -> Iterator[Word]:
    """Modules of the right type, where the manual has them; and some at each processor."""
    machine, sockets = spot.machine, processor.memory
    count = how_many(memory)
    if machine.entry.memory is not None and processor.id in fitted(machine) and not count:
        yield ("memory of", machine.id, processor.id, count)
    if memory is None:
        return
    if memory.type is not None:
        if sockets is None or sockets.types is None:
            yield ("memory type", machine.board.id, processor.id, memory.type)
        elif memory.type not in sockets.types:
            yield "wrong memory"
    if memory.in_ and (sockets is None or sockets.order is None):
        yield ("memory unlisted", machine.id, processor.id)
    if sockets is not None and sockets.order and not as_in_manual(memory, sockets.order):
        yield ("memory order", machine.id, processor.id)


def how_many(memory: FittedMemory | None) -> int | None:
    """Modules that somebody has counted or named the sockets of."""
    if memory is None:
        return None
    return len(memory.in_) if memory.in_ and memory.count is None else memory.count


def as_in_manual(memory: FittedMemory, order: Sequence[tuple[str, ...]]) -> bool:
    """Whether the manual's table has a line with just these sockets, or so many."""
    lines = [[one for some in order[:n] for one in some] for n in range(len(order) + 1)]
    if memory.in_ is not None:
        return any(sorted(line) == sorted(memory.in_) for line in lines)
    return memory.count is None or memory.count in map(len, lines)


def under_coolers(part: Part, spot: Spot) -> Iterator[Word]:
    """Cards beside the processors."""
    slot, machine = spot.receptacle.spec, spot.machine
    rows = machine.board.rows
    if part.spec.plug.form in ("cem", "opening") and rows and slot.row == rows[0].id:
        for processor in machine.board.processors:
            cooler = (machine.entry.coolers or {}).get(processor.id)
            if cooler is not None and cooler.to_slots_mm is not None:
                yield from under_one(part, spot, processor, cooler)


def under_one(part: Part, spot: Spot, processor: Processor, cooler: Cooler) -> Iterator[Word]:
    """A cooler that is wide enough stands where a card's back would be, if the card is as high."""
    start = 40 if processor.slots_at_mm is None else processor.slots_at_mm
    if start + 20.32 * spot.receptacle.spec.position - 2.67 >= (cooler.to_slots_mm or 0):
        return
    here = (spot.receptacle.id, processor.id)
    if processor.slots_at_mm is None:
        yield ("cooler beside", *here, cooler.to_slots_mm)
    elif cooler.clear_mm is None:
        yield ("cooler above", *here, part.spec.id)
    elif part.spec.height_mm is None:
        yield ("below cooler", part.spec.id, cooler.clear_mm)
    elif part.spec.height_mm > cooler.clear_mm:
        yield "cooler over the slot"
