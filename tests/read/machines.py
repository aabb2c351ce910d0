"""Small invented machines as folders and texts, to be read in every way there is."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

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


def speed_words(code: int) -> str:
    """What Linux 6.12 prints (drivers/pci/probe.c, pci_speed_string)."""
    return f"{ {1: '2.5', 2: '5.0', 3: '8.0', 4: '16.0', 5: '32.0', 6: '64.0'}[code] } GT/s PCIe"


def port(address: str, below: int, *, slot: bool = True, number: int = 0, lanes: int = 16,
         last: int | None = None, **more: object) -> Function:  # fmt: skip
    """A root port with one bus below it."""
    bus = int(address.split(":")[-2], 16)
    return Function(
        address=address, buses=(bus, below, below if last is None else last), slot=slot,
        slot_number=number, lanes_max=lanes, lanes_now=lanes, **more,  # type: ignore[arg-type]
    )  # fmt: skip


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
