"""One invented machine in its planned state, and ways to change what the bus shows of it."""

from __future__ import annotations

import json
import tempfile
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.answers.text_layout import as_json
from slotfit.answers.verify.answer import Finding, VerifyAnswer
from slotfit.answers.verify.planned import (
    MachinePlan,
    as_it_stands,
    plan_in,
    planned_machine,
)
from slotfit.answers.verify.verdict import verify
from slotfit.read import smbios
from slotfit.read.join import join
from slotfit.read.lspci_other import parse_hex
from slotfit.read.machine import MachineSeen
from slotfit.read.seen import FunctionSeen, PciAddress
from tests.describe.loading import described, loaded
from tests.limits import SECONDS
from tests.read.machines import endpoint, port, text_of
from tests.read.registers import Function
from tests.read.scenes import ACCELERATOR, HOST, NETWORK, at
from tests.read.tables import Slot, dump

Bus = dict[str, Function]

TABLE = dump(
    Slot("SLOT1 X16", slot_id=1, width=0x0D, usage=4, **at("00:01.0")).pack(1),
    Slot("SLOT2 X8", slot_id=2, kind=0xBC, width=0x0B, usage=4, **at("00:02.0")).pack(2),
    Slot("SLOT3 X8", slot_id=3, kind=0xBC, width=0x0B, **at("00:03.0")).pack(3),
    Slot("SLOT7 X16", slot_id=7, width=0x0D, usage=4, **at("40:01.0")).pack(7),
)


def slot_of_four_drives() -> list[Function]:
    """A processor's bus with one slot in quarters, and a drive behind each, all alike."""
    return [
        Function(address="40:00.0", class_code=HOST, buses=None, port_type=4, slot=False),
        *(
            port(f"40:01.{number}", 0x41 + number, number=7 + 10 * number, lanes=4)
            for number in range(4)
        ),
        *(endpoint(f"{0x41 + number:02x}:00.0", device=0x00D0) for number in range(4)),
    ]


def planned_bus() -> Bus:
    """An accelerator, a network card, an empty slot, a passive carrier with four drives."""
    every = [
        Function(address="00:00.0", class_code=HOST, buses=None, port_type=4, slot=False),
        port("00:01.0", 1, number=1, lanes=16),
        endpoint("01:00.0", kind=ACCELERATOR, lanes=16, device=0x00AC),
        port("00:02.0", 2, number=2, lanes=8),
        endpoint("02:00.0", kind=NETWORK, lanes=8, device=0x00CE),
        port("00:03.0", 3, number=3, lanes=8),
        *slot_of_four_drives(),
    ]  # fmt: skip
    return {one.address: one for one in every}


def seen_on(bus: Bus, **facts: dict[str, Any]) -> MachineSeen:
    """The machine; `facts` are fields of all functions at an address (`a_01_00_0`)."""
    reading = parse_hex(text_of(list(bus.values())), "bus")
    changed = tuple(_with(one, facts) for one in reading.functions)
    return join([replace(reading, functions=changed), smbios.parse(TABLE, "table")])


def _with(one: FunctionSeen, facts: dict[str, dict[str, Any]]) -> FunctionSeen:
    for name, fields in facts.items():
        spelt = name.removeprefix("a_").split("_")
        if one.address == PciAddress.read(f"{spelt[0]}:{spelt[1]}.{spelt[2]}"):
            return replace(one, **fields)
    return one


@cache
def plan() -> str:
    """The plan of the machine as it should be, as `place --json` prints it."""
    with tempfile.TemporaryDirectory() as folder:
        problem = as_it_stands(loaded(described(seen_on(planned_bus())), Path(folder) / "made"))
    placed = best_plan(problem, SECONDS)
    assert placed.plan
    return as_json(answer_of(placed))


def document() -> dict[str, Any]:
    """The plan as data, to change at will."""
    found: dict[str, Any] = json.loads(plan())
    return found


def planned_in(found: dict[str, Any], machine: str | None = None) -> MachinePlan:
    """One machine of a plan that was changed as data."""
    return planned_machine(plan_in(json.dumps(found), "plan.json"), "plan.json", machine)


def held(seen: MachineSeen, plan_: dict[str, Any] | None = None) -> VerifyAnswer:
    """The plan held against a machine."""
    return verify(planned_in(plan_ or document()), seen)


def findings(answer: VerifyAnswer) -> tuple[Finding, ...]:
    """All of them, faults first."""
    return (*answer.do.faults, *answer.watch.open, *answer.more.no_fault)


def faults(answer: VerifyAnswer) -> dict[str, Finding]:
    """Kind -> finding; a test that expects two of a kind counts them itself."""
    return {one.kind: one for one in answer.do.faults}


def changed(bus: Bus, address: str, **fields: Any) -> Bus:
    """The bus with one function changed."""
    return bus | {address: replace(bus[address], **fields)}


def without(bus: Bus, *addresses: str) -> Bus:
    """The bus without some functions."""
    return {name: one for name, one in bus.items() if name not in addresses}


def moved(bus: Bus, address: str, to: str) -> Bus:
    """The bus with one function at another address."""
    return without(bus, address) | {to: replace(bus[address], address=to)}
