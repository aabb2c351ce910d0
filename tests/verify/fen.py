"""
A second invented machine, with one of everything that a verification tells apart.

Two processors; a card each in SLOT1 and SLOT2, a host adapter in SLOT4, two M.2 drives, a passive
carrier of four drives in SLOT7, a carrier with a switch and four drives in SLOT8; SLOT3 and SLOT9
are empty. A network device is soldered on.
"""

from __future__ import annotations

import copy
import json
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.answers.text_layout import as_json
from slotfit.answers.verify.answer import VerifyAnswer
from slotfit.answers.verify.planned import as_it_stands, plan_in, planned_machine
from slotfit.answers.verify.verdict import verify
from slotfit.read import smbios
from slotfit.read.config_space import decode
from slotfit.read.join import join
from slotfit.read.kernel_log import parse_log
from slotfit.read.machine import MachineSeen
from slotfit.read.seen import (
    DriveSeen,
    ErrorCount,
    FunctionSeen,
    NodeSeen,
    PciAddress,
    Reading,
    Where,
)
from tests.describe.loading import described, loaded
from tests.limits import SECONDS
from tests.read.machines import endpoint, port
from tests.read.registers import Function
from tests.read.scenes import ACCELERATOR, HOST, NETWORK, at
from tests.read.tables import Slot, dump, processor
from tests.verify.scenes import slot_of_four_drives

Bus = dict[str, Function]

SAS = 0x0107
M2 = 0x17
"""Slot type of an M.2 socket with key M (DSP0134 7.10.1)."""

SLOTS = (
    Slot("SLOT1 X16", slot_id=1, width=0x0D, usage=4, **at("00:01.0")),
    Slot("SLOT2 X8", slot_id=2, kind=0xBC, width=0x0B, usage=4, **at("00:02.0")),
    Slot("SLOT3 X8", slot_id=3, kind=0xBC, width=0x0B, **at("00:03.0")),
    Slot("SLOT4 X8", slot_id=4, kind=0xBC, width=0x0B, usage=4, **at("00:04.0")),
    Slot("M2_1", slot_id=5, kind=M2, width=0x0A, usage=4, **at("00:05.0")),
    Slot("M2_2", slot_id=6, kind=M2, width=0x0A, usage=4, **at("00:06.0")),
    Slot("SLOT7 X16", slot_id=7, width=0x0D, usage=4, **at("40:01.0")),
    Slot("SLOT8 X16", slot_id=8, width=0x0D, usage=4, **at("40:02.0")),
    Slot("SLOT9 X16", slot_id=9, width=0x0D, **at("40:03.0")),
)
BOARD = 0x70


def bus_as_planned() -> Bus:
    """All functions; drives of the passive carrier are alike, those behind the switch are not."""
    every = [
        Function(address="00:00.0", class_code=HOST, buses=None, port_type=4, slot=False),
        port("00:01.0", 1, number=1, lanes=16),
        endpoint("01:00.0", kind=ACCELERATOR, lanes=16, device=0x00AC),
        port("00:02.0", 2, number=2, lanes=8),
        endpoint("02:00.0", kind=NETWORK, lanes=8, device=0x00CE),
        port("00:03.0", 3, number=3, lanes=8, present=False),
        port("00:04.0", 4, number=4, lanes=8),
        endpoint("04:00.0", kind=SAS, lanes=8, device=0x00BA),
        port("00:05.0", 5, number=5, lanes=4),
        endpoint("05:00.0", device=0x00D8),
        port("00:06.0", 6, number=6, lanes=4),
        endpoint("06:00.0", device=0x00D9),
        *slot_of_four_drives(),
        port("40:02.0", 0x50, last=0x55, number=8, lanes=16),
        replace(port("50:00.0", 0x51, last=0x55, lanes=16, slot=False), port_type=5),
        *(replace(port(f"51:0{number}.0", 0x52 + number, number=20 + number, lanes=4),
                  port_type=6) for number in range(4)),
        *(endpoint(f"{0x52 + number:02x}:00.0", device=0x00E0 + number) for number in range(4)),
        Function(address="00:1f.6", class_code=NETWORK, buses=None, port_type=9, slot=False),
        port("40:03.0", 0x60, number=9, lanes=16, present=False),
    ]  # fmt: skip
    return {one.address: one for one in every}


def table(*gone: str) -> bytes:
    """The slot table; the processors named in `gone` are not fitted."""
    return dump(
        *(slot.pack(number) for number, slot in enumerate(SLOTS, 1)),
        processor(0x40, "CPU1", populated="cpu0" not in gone),
        processor(0x41, "CPU2", populated="cpu1" not in gone),
    )


def disks(letters: str) -> tuple[DriveSeen, ...]:
    """Disks that hang on the host adapter, and an M.2 drive with its name."""
    on = PciAddress(0, 4, 0, 0)
    where = Where("sys/block")
    found = [
        DriveSeen(where, f"sd{one}", "disk", "sas", (f"6:0:{number}:0",), address=on)
        for number, one in enumerate(letters)
    ]
    nvme = DriveSeen(where, "nvme0", "drive", "nvme", address=PciAddress(0, 5, 0, 0))
    return (*found, nvme)


def read_as(
    bus: Bus,
    *,
    nodes: int = 2,
    gone: tuple[str, ...] = (),
    letters: str = "abcd",
    bare: bool = False,
    slots: bool = True,
    groups: dict[str, int] | None = None,
    errors: dict[str, list[list[Any]]] | None = None,
    log: str = "",
    hours: float | None = 10,
) -> MachineSeen:
    """The machine as it is read; `bare`: without root, registers hidden."""
    functions = tuple(_changed(decoded(one), bare, groups or {}) for one in bus.values())
    functions = tuple(_erring(one, errors or {}) for one in functions)
    places = tuple(NodeSeen(Where(f"node{one}"), one, str(one), (one,)) for one in range(nodes))
    system = Reading("sysfs", "sys", nodes=places, drives=disks(letters))
    running = replace(parse_log(log, "log"), running_s=int(hours * 3600) if hours else None)
    readings = [system, Reading("lspci hex", "bus", functions=functions), running]
    if slots:
        readings.append(smbios.parse(table(*gone), "table"))
    return join(readings)


@cache
def decoded(one: Function) -> FunctionSeen:
    """What its registers say."""
    address = PciAddress.read(one.address)
    assert address
    seen = decode(one.space(), address, Where("bus"))
    assert seen
    return seen


def _erring(one: FunctionSeen, errors: dict[str, list[list[Any]]]) -> FunctionSeen:
    """With what it counted: severity, kind, how often."""
    found = errors.get(str(one.address).removeprefix("0000:"), ())
    return replace(one, errors=tuple(ErrorCount(*error) for error in found))


def _changed(one: FunctionSeen, bare: bool, groups: dict[str, int]) -> FunctionSeen:
    group = groups.get(str(one.address).removeprefix("0000:"))
    one = replace(one, iommu_group=group)
    node = 1 if one.address.bus >= 0x40 else 0
    one = replace(one, numa_node=node)
    return replace(one, link=None, port_type=None, slot_implemented=None) if bare else one


@cache
def plan_text() -> str:
    """The plan of the machine as it should be, four disks on its host adapter."""
    seen = read_as(bus_as_planned())
    with tempfile.TemporaryDirectory() as folder:
        problem = as_it_stands(loaded(described(seen, "fen"), Path(folder) / "made"))
    placed = best_plan(problem, SECONDS)
    assert placed.plan
    plan: dict[str, Any] = json.loads(as_json(answer_of(placed)))
    seats = plan["plan"]["seats"]
    if not any(seat["item"].startswith("disk") for seat in seats):
        adapter = next(seat for seat in seats if seat["part_class"] == "host-bus-adapter")
        link = dict(copy.deepcopy(adapter["links"][0]), bus="sas", to=[])
        seats += [
            dict(adapter, item=f"disk-{number}", part_class="drive", owner=adapter["item"], depth=1,
                 site=f"{adapter['item']}/port{number}", links=[link], recognise=[])
            for number in range(1, 5)
        ]  # fmt: skip
    return json.dumps(plan)


def document() -> dict[str, Any]:
    """The plan as data, to change at will."""
    found: dict[str, Any] = json.loads(plan_text())
    return found


def held(
    seen: MachineSeen, plan: dict[str, Any] | None = None, failing: Sequence[str] = ()
) -> VerifyAnswer:
    """The plan held against a machine."""
    text = json.dumps(plan) if plan else plan_text()
    planned = planned_machine(plan_in(text, "plan.json"), "plan.json")
    return verify(planned, seen, failing=failing)
