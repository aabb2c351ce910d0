"""What is soldered is no card: it offers no sockets and is never moved."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from slotfit.read.machine import MachineSeen
from tests.describe.loading import described
from tests.read.machines import endpoint, port
from tests.read.registers import Function
from tests.read.scenes import HOST, NETWORK, machine

VGA, USB, SATA = 0x0300, 0x0C03, 0x0106


def host() -> Function:
    return Function(address="00:00.0", class_code=HOST, buses=None, port_type=4, slot=False)


def chipset(downs: int, filled: int) -> list[Function]:
    """A chipset behind a processor's port: controllers beside a switch, an adapter on a port."""
    last = 3 + downs
    bus = [
        port("00:01.0", 1, last=last, slot=True, number=7, lanes=4),
        endpoint("01:00.0", kind=USB),
        endpoint("01:00.1", kind=SATA),
        Function(address="01:00.2", buses=(1, 2, last), port_type=5, slot=False, lanes_max=4,
                 lanes_now=4),
    ]  # fmt: skip
    for number in range(downs):
        up = number < filled
        bus.append(
            Function(address=f"02:{number:02x}.0", buses=(2, 3 + number, 3 + number), port_type=6,
                     slot=True, slot_number=0, lanes_max=4, lanes_now=4 if up else 0, present=up,
                     active=up)
        )  # fmt: skip
        if up:
            bus.append(endpoint(f"{3 + number:02x}:00.0", kind=0x0107))
    return bus


def offered(seen: MachineSeen) -> set[str]:
    """Addresses of the ports of every receptacle that is written."""
    slots = [slot for slot in described(seen).slots if not slot.aside]
    return {str(one.address).removeprefix("0000:") for slot in slots for one in slot.seen.ports}


@pytest.mark.parametrize("seed", range(8))
def test_a_chipset_is_no_card_and_its_empty_ports_are_no_sockets(seed: int) -> None:
    """USB and SATA beside a switch's upstream port: common practice, no source."""
    draw = random.Random(seed)
    downs = draw.randint(1, 6)
    filled = draw.randint(0, downs)
    functions = [host(), *chipset(downs, filled)]
    draw.shuffle(functions)
    seen = machine(functions)
    assert offered(seen) == {f"02:{number:02x}.0" for number in range(filled)}
    assert [part.main.class_code for part in seen.onboard].count(USB) == 1
    parts = described(seen).parts
    assert len(parts) == filled
    board = described(seen).files["board.yaml"]
    assert ("hubs:" in board) == bool(filled)  # what hangs on it shares its uplink


def test_management_graphics_is_soldered() -> None:
    """One lane, below a port that says it has no slot or nothing of it."""
    bus = [host(), port("00:1c.0", 1, slot=False, lanes=1), endpoint("01:00.0", kind=VGA, lanes=1)]
    seen = machine(bus)
    assert not described(seen).parts
    assert VGA in [part.main.class_code for part in seen.onboard]


@pytest.mark.parametrize(("kind", "lanes", "stays"), [
    (NETWORK, 1, True), (USB, 1, True), (VGA, 1, True), (0x0108, 4, False), (0x0302, 16, False),
    (NETWORK, 8, False),
])  # fmt: skip
def test_what_may_be_soldered_stays_where_it_is(kind: int, lanes: int, stays: bool) -> None:
    """Without a table nothing tells a controller of one lane from a card."""
    bus = [host(), port("00:1c.0", 1, lanes=lanes), endpoint("01:00.0", kind=kind, lanes=lanes)]
    (part,) = described(machine(bus)).parts
    assert part.stays == stays


def test_a_slot_number_on_ports_of_one_device_is_one_slot() -> None:
    bus = [host()]
    for number in range(4):
        bus += [
            port(f"00:03.{number}", 1 + number, number=6, lanes=4),
            endpoint(f"{1 + number:02x}:00.0"),
        ]
    (one,) = machine(bus).receptacles
    assert (len(one.ports), one.lanes.value, one.divided) == (4, 16, (4, 4, 4, 4))
    apart = [replace(f, slot_number=i) if f.buses else f for i, f in enumerate(bus, start=1)]
    assert len(machine(apart).receptacles) == 4


def test_a_switch_of_unknown_kind_offers_only_what_is_filled() -> None:
    bus = [
        host(),
        port("00:03.0", 2, last=5),
        Function(address="02:00.0", buses=(2, 3, 5), port_type=5, slot=False),
        Function(address="03:00.0", buses=(3, 4, 4), port_type=6),
        Function(address="03:02.0", buses=(3, 5, 5), port_type=6, present=False, lanes_now=0),
        endpoint("04:00.0", kind=0x0107, lanes=8),
    ]
    files = described(machine(bus)).files
    sockets = [text.count("- id: socket") for name, text in files.items() if "switch" in text]
    assert max(sockets) == 1
