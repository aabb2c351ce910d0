"""How far the coolers of a machine's processors stand over slots and memory."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slotfit.model.board import Processor
from slotfit.model.machine import Cooler, FittedMemory
from slotfit.model.problem import Machine
from slotfit.model.reason import Cited


@dataclass(frozen=True, slots=True)
class Cooled:
    """A processor socket with a cooler on it."""

    machine: Machine
    processor: Processor
    cooler: Cooler

    @property
    def memory(self) -> FittedMemory | None:
        """The modules beside it, if anybody has said something of them."""
        return (self.machine.entry.memory or {}).get(self.processor.id)

    def of_cooler(self, field: str) -> Cited:
        """A fact of the cooler."""
        return Cited("cooler", self.processor.id, self.cooler, field)

    def of_processor(self, field: str) -> Cited:
        """A fact of the socket below it."""
        return Cited("processor", self.processor.id, self.processor, field)


def coolers(machine: Machine) -> Iterator[Cooled]:
    """Every cooler that the build file tells of."""
    said = machine.entry.coolers or {}
    for processor in machine.board.processors:
        if processor.id in said:
            yield Cooled(machine, processor, said[processor.id])
