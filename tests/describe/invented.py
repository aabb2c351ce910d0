"""Random machines, for properties that must hold of all: odd trees, odd tables, odd joins."""

from __future__ import annotations

from hypothesis import strategies as st

from slotfit.read.machine import MachineSeen
from tests.read.machines import endpoint
from tests.read.registers import Function
from tests.read.scenes import HOST, machine
from tests.read.tables import Slot, processor

WIDTHS = (1, 2, 4, 8, 16)
CLASSES = (0x0108, 0x0107, 0x0106, 0x0200, 0x0300, 0x0302, 0x0403, 0x0C03, 0x0880, 0x1200, 0x0B40)
NAMES = (
    "SLOT{n}", "CPU{c} SLOT{n} PCI-E 4.0 X8 (IN X16)", "PCIEX16(G4)_{n}", "M.2_{n}", "J{n}B1",
    "SLOT{n}_A", "MCIO{n}", "PCH SLOT{n} PCI-E 3.0 X4", "RISER {n}", "SLOT1", "", "ONBOARD LAN",
)  # fmt: skip


@st.composite
def machines(draw: st.DrawFn) -> MachineSeen:
    """A bus with up to five ports and a table that may or may not agree with it."""
    functions = [Function(address="00:00.0", class_code=HOST, buses=None, port_type=4, slot=False)]
    bus = 1
    below: list[str] = []
    for number in range(draw(st.integers(0, 5))):
        made, bus, seen_at = _port(draw, f"00:{number + 1:02x}.{draw(st.integers(0, 1))}", bus)
        functions += made
        below += seen_at
    count = draw(st.integers(0, 5))
    slots = [_slot(draw, number, below).pack(number) for number in range(1, count + 1)]
    sockets = [
        processor(100 + number, f"CPU{number}", populated=draw(st.booleans()))
        for number in range(draw(st.integers(0, 2)))
    ]
    return machine(functions, *sockets, *slots)


def _port(draw: st.DrawFn, address: str, bus: int) -> tuple[list[Function], int, list[str]]:
    """A root port with nothing, a device, or a switch with devices below it."""
    lanes, speed = draw(st.sampled_from(WIDTHS)), draw(st.integers(1, 5))
    slot, shape = draw(st.booleans()), draw(st.sampled_from(("empty", "device", "switch")))
    last = bus + (3 if shape == "switch" else 0)
    root = Function(address=address, buses=(0, bus, last), slot=slot, lanes_max=lanes,
                    lanes_now=lanes if shape != "empty" else 0, speed_max=speed, speed_now=speed,
                    slot_number=draw(st.integers(0, 6)))  # fmt: skip
    if shape == "empty":
        return [root], last + 1, [f"{bus:02x}:00.0"]
    if shape == "device":
        return [root, _device(draw, bus)], last + 1, [f"{bus:02x}:00.0", address]
    up = Function(address=f"{bus:02x}:00.0", buses=(bus, bus + 1, last), port_type=5, slot=False,
                  lanes_max=lanes, lanes_now=lanes)  # fmt: skip
    downs = [
        Function(address=f"{bus + 1:02x}:{number:02x}.0", buses=(bus + 1, bus + 2 + number,
                 bus + 2 + number), port_type=6, slot=draw(st.booleans()), lanes_max=4, lanes_now=4)
        for number in range(2)
    ]  # fmt: skip
    devices = [_device(draw, bus + 2 + number) for number in range(2) if draw(st.booleans())]
    return [root, up, *downs, *devices], last + 1, [address, f"{bus:02x}:00.0", downs[0].address]


def _device(draw: st.DrawFn, bus: int) -> Function:
    return endpoint(
        f"{bus:02x}:00.0",
        kind=draw(st.sampled_from(CLASSES)),
        lanes=draw(st.sampled_from(WIDTHS)),
        device=0x2000 + bus if draw(st.booleans()) else 0x2222,
    )


def _slot(draw: st.DrawFn, number: int, below: list[str]) -> Slot:
    """A record with any type, width, use and address."""
    address = draw(st.sampled_from([*below, "00:00.0", "ff:1f.7", "45:00.0"]))
    bus, rest = address.split(":")
    device, function = rest.split(".")
    name = draw(st.sampled_from(NAMES)).format(n=number, c=draw(st.integers(0, 2)))
    return Slot(
        name,
        kind=draw(st.integers(0, 255)),
        width=draw(st.integers(0, 15)),
        usage=draw(st.integers(0, 6)),
        slot_id=draw(st.integers(0, 6)),
        bus=int(bus, 16),
        devfn=int(device, 16) << 3 | int(function),
        information=draw(st.integers(0, 255)),
        physical=draw(st.integers(0, 15)),
        pitch=draw(st.sampled_from((0, 2032))),
        level=draw(st.sampled_from(("2.0", "2.6", "3.2", "3.5"))),
    )
