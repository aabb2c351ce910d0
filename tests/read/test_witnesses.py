"""
What was built is what is read; with a witness less the answer is less certain, and never other.

Machines are invented: slots of a processor, some filled, told by a truthful table and by the bus.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace

import pytest

from slotfit.read import smbios
from slotfit.read.join import join
from slotfit.read.lspci_other import parse_hex
from slotfit.read.lspci_text import parse_text
from slotfit.read.machine import MachineSeen, ReceptacleSeen
from slotfit.read.seen import Reading
from tests.read.machines import endpoint, port, text_of
from tests.read.registers import Function
from tests.read.scenes import ACCELERATOR, HOST, NETWORK, at
from tests.read.tables import Slot, dump
from tests.read.wordings import WORDINGS, listing

CODE_OF_WIDTH = {1: 0x08, 4: 0x0A, 8: 0x0B, 16: 0x0D}
FIRST_OF_GENERATION = {3: 0xB1, 4: 0xB8, 5: 0xBE}
STEP = {1: 1, 4: 3, 8: 4, 16: 5}
"""DSP0134 7.10.1 and 7.10.2."""


@dataclass(frozen=True)
class Built:
    """One slot as it is."""

    number: int
    width: int
    lanes: int
    generation: int
    card: int | None

    @property
    def port(self) -> str:
        return f"00:{self.number:02x}.0"

    @property
    def below(self) -> int:
        return 0x10 + self.number

    def functions(self) -> list[Function]:
        up = self.card is not None
        now = self.lanes if up else 0
        own = port(self.port, self.below, number=self.number, lanes=self.lanes, lanes_now=now,
                   speed_max=self.generation, speed_now=self.generation if up else 1, active=up,
                   present=up)  # fmt: skip
        if self.card is None:
            return [own]
        return [own, endpoint(f"{self.below:02x}:00.0", kind=self.card, lanes=self.lanes)]

    def record(self, *, address: bool = True) -> bytes:
        to = f"{self.below:02x}:00.0" if self.card else self.port
        return Slot(
            f"SLOT{self.number}",
            kind=FIRST_OF_GENERATION[self.generation] + STEP[self.width],
            width=CODE_OF_WIDTH[self.lanes],
            usage=4 if self.card else 3,
            slot_id=self.number,
            **at(to if address else "00:00.0"),
        ).pack(self.number)


def built(seed: int) -> list[Built]:
    """Two to five slots, at least one of them empty."""
    draw = random.Random(seed)
    made = []
    for number in range(1, draw.randint(2, 5) + 1):
        width = draw.choice((1, 4, 8, 16))
        lanes = draw.choice([n for n in (1, 4, 8, 16) if n <= width])
        card = draw.choice((None, NETWORK, ACCELERATOR)) if number > 1 else None
        made.append(Built(number, width, lanes, draw.choice((3, 4, 5)), card))
    return made


def bus(slots: list[Built]) -> list[Function]:
    host = Function(address="00:00.0", class_code=HOST, buses=None, port_type=4, slot=False)
    return [host, *(function for slot in slots for function in slot.functions())]


def witnesses(slots: list[Built]) -> dict[str, list[Reading]]:
    """What may be at hand of the machine: everything first, then with something missing."""
    functions = bus(slots)
    table = smbios.parse(dump(*(one.record() for one in slots)), "table")
    bare = smbios.parse(dump(*(one.record(address=False) for one in slots)), "table")
    no_links = [replace(one, link=None) for one in parse_hex(text_of(functions), "bus").functions]
    registers = parse_hex(text_of(functions), "bus")
    words = parse_text(listing(functions, WORDINGS["3.8"]), "text")
    return {
        "everything": [registers, table],
        "the text of the bus": [words, table],
        "no addresses in the table": [registers, bare],
        "no links": [replace(registers, functions=tuple(no_links)), table],
        "the table alone": [table],
        "a table without addresses alone": [bare],
        "the bus alone": [registers],
    }


def found(seen: MachineSeen, slot: Built) -> ReceptacleSeen:
    """The receptacle that is meant: by its name, else by its port."""
    for one in seen.receptacles:
        ports = [str(each.address).removeprefix("0000:") for each in one.ports]
        if one.label == f"SLOT{slot.number}" or ports == [slot.port]:
            return one
    raise AssertionError(slot)


def facts(one: ReceptacleSeen) -> tuple[object, ...]:
    values = (one.lanes.value, one.generation.value, one.occupied.value, one.form)
    return (*values, bool(one.parts) or None)


@pytest.mark.parametrize("seed", range(15))
def test_with_a_witness_less_the_answer_is_less_certain_and_never_other(seed: int) -> None:
    slots = built(seed)
    for name, readings in witnesses(slots).items():
        seen = join(readings)
        for slot in slots:
            truth = (
                slot.lanes, slot.generation, slot.card is not None, "cem",
                True if slot.card else None,
            )  # fmt: skip
            got = facts(found(seen, slot))
            if name in ("everything", "the text of the bus"):
                assert got == truth, name
            pairs = zip(got, truth, strict=True)
            assert all(value in (None, said) for value, said in pairs), (name, slot, got)
