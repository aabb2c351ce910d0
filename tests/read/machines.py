"""Small invented machines as folders and texts, to be read in every way there is."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.read.registers import Function


@dataclass(frozen=True)
class Placed:
    """A function and where it stands in /sys: the addresses above it, root first."""

    function: Function
    above: tuple[str, ...] = ()
    node: int = 0
    driver: str | None = None

    @property
    def address(self) -> str:
        """The full address."""
        text = self.function.address
        return text if text.count(":") == 2 else f"0000:{text}"


def write_sys(root: Path, placed: list[Placed]) -> None:
    """A /sys tree with these functions, as Linux 6.12 lays it out."""
    devices = root / "sys/bus/pci/devices"
    devices.mkdir(parents=True)
    for entry in placed:
        real = root / "sys/devices" / folder_of((*entry.above, entry.address))
        real.mkdir(parents=True, exist_ok=True)
        (devices / entry.address).symlink_to(os.path.relpath(real, devices))
        _write_attributes(root, real, entry)


def folder_of(chain: tuple[str, ...]) -> str:
    """The folder of the last address; each host bridge starts with one named for its bus."""
    steps: list[str] = []
    domain = ""
    for address in chain:
        bus = address.rpartition(":")[0]
        if bus.rpartition(":")[0] != domain:
            domain = bus.rpartition(":")[0]
            steps.append(f"pci{bus}")
        steps.append(address)
    return "/".join(steps)


def _write_attributes(root: Path, real: Path, entry: Placed) -> None:
    function = entry.function
    attributes = {
        "vendor": f"0x{function.vendor:04x}",
        "device": f"0x{function.device:04x}",
        "class": f"0x{function.class_code:04x}00",
        "revision": "0x01",
        "numa_node": str(entry.node),
        "local_cpus": f"{1 << entry.node:08x}",
        "max_link_width": str(function.lanes_max),
        "current_link_width": str(function.lanes_now),
        "max_link_speed": speed_words(function.speed_max),
        "current_link_speed": speed_words(function.speed_now),
    }
    if function.buses:
        attributes["secondary_bus_number"] = str(function.buses[1])
        attributes["subordinate_bus_number"] = str(function.buses[2])
    for name, value in attributes.items():
        (real / name).write_text(value + "\n", encoding="ascii")
    (real / "config").write_bytes(function.space())
    if entry.driver:
        driver = root / f"sys/bus/pci/drivers/{entry.driver}"
        driver.mkdir(parents=True, exist_ok=True)
        (real / "driver").symlink_to(os.path.relpath(driver, real))


def write_nodes(root: Path, count: int) -> None:
    """So many nodes, a socket of one processor on each (Linux 6.12, Documentation/ABI)."""
    system = root / "sys/devices/system"
    everyone = f"0-{count - 1}\n"
    for kind in ("cpu", "node"):
        (system / kind).mkdir(parents=True)
        for name in ("online", "possible"):
            (system / kind / name).write_text(everyone, encoding="ascii")
    for number in range(count):
        mask = f"{1 << number:08x}\n"
        topology = system / f"cpu/cpu{number}/topology"
        topology.mkdir(parents=True)
        said = {"physical_package_id": f"{number}\n", "core_id": "0\n"}
        said |= dict.fromkeys(
            ("thread_siblings", "core_siblings", "core_cpus", "package_cpus"), mask
        )
        for name, text in said.items():
            (topology / name).write_text(text, encoding="ascii")
        node = system / f"node/node{number}"
        node.mkdir()
        (node / "cpumap").write_text(mask, encoding="ascii")
        (node / "cpulist").write_text(f"{number}\n", encoding="ascii")
        (node / "meminfo").write_text(f"Node {number} MemTotal: 1048576 kB\n", encoding="ascii")
        (node / f"cpu{number}").symlink_to(f"../../cpu/cpu{number}")


def speed_words(code: int) -> str:
    """What Linux 6.12 prints (drivers/pci/probe.c, pci_speed_string)."""
    return f"{ {1: '2.5', 2: '5.0', 3: '8.0', 4: '16.0', 5: '32.0', 6: '64.0'}[code] } GT/s PCIe"


def port(address: str, below: int, *, slot: bool = True, number: int = 0, lanes: int = 16,
         last: int | None = None, **more: object) -> Function:  # fmt: skip
    """A root port with one bus below it."""
    bus = int(address.split(":")[-2], 16)
    said: dict[str, Any] = {"lanes_max": lanes, "lanes_now": lanes, **more}
    buses = (bus, below, below if last is None else last)
    return Function(address=address, buses=buses, slot=slot, slot_number=number, **said)


def endpoint(address: str, *, kind: int = 0x0108, lanes: int = 4, vendor: int = 0x1111,
             device: int = 0x2222) -> Function:  # fmt: skip
    """An endpoint; a drive unless another class is given."""
    return Function(
        address=address, class_code=kind, buses=None, port_type=0, slot=False, vendor=vendor,
        device=device, lanes_max=lanes, lanes_now=lanes, acs=None, reports_active=False,
    )  # fmt: skip


def text_of(functions: list[Function]) -> str:
    """Register dumps of them, one after another."""
    return "".join(function.dump() for function in functions)
