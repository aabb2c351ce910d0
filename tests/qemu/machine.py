"""A small invented machine as an emulator's command line, and what a run of it says."""

from __future__ import annotations

import gzip
import shutil
import socket
import subprocess
import time
from dataclasses import dataclass
from pathlib import Path

import pytest

from slotfit.read.sources import collecting_script
from tests.qemu.initramfs import READY, initramfs
from tests.read.tables import Slot

EMULATOR = "qemu-system-x86_64"
KERNEL = Path(__file__).parents[2] / ".ci/cache/kernel"
SECONDS = 900


@dataclass(frozen=True)
class Port:
    """
    A slot of the board: a root port below the bridge of one node.

    `speed` is in the emulator's words. Firmware names each port by its own address.
    """

    name: str
    node: int
    width: int
    speed: str
    number: int

    @property
    def bus(self) -> int:
        return 0x20 if self.node == 0 else 0x80

    @property
    def device(self) -> int:
        return self.number

    @property
    def option(self) -> str:
        return (
            f"pcie-root-port,id={self.name},bus=node{self.node},addr={self.device:#x},"
            f"chassis={self.number},slot={self.number},x-width={self.width},x-speed={self.speed}"
        )

    def record(self, *, filled: bool) -> bytes:
        """The slot's record (type 9), wired as wide as it is long."""
        code = {16: (0xBD, 0x0D), 8: (0xBC, 0x0B), 4: (0xBB, 0x0A)}[self.width]
        slot = Slot(
            f"CPU{self.node} SLOT{self.number} PCIe4 x{self.width}",
            kind=code[0],
            width=code[1],
            usage=4 if filled else 3,
            slot_id=self.number,
            bus=self.bus,
            devfn=self.device << 3,
        )
        return slot.pack(0x900 + self.number)


PORTS = (
    Port("slot1", 0, 16, "16", 1),
    Port("slot2", 0, 8, "8", 2),
    Port("slot3", 1, 16, "16", 3),
    Port("slot4", 1, 8, "8", 4),
)


@dataclass(frozen=True)
class Machine:
    """Where the parts are: a drive, a network card, a carrier with a switch and two drives."""

    drive: str = "slot1"
    network: str = "slot2"
    carrier: str = "slot3"
    carrier_drives: int = 2
    nodes: int = 2
    """Processors that are fitted, a node each."""
    errors: tuple[str, ...] = ()
    """What the emulator's monitor is told once the system runs."""

    def devices(self, disk: Path) -> list[str]:
        """Options for everything that is plugged in."""
        found = []
        places = [self.drive]
        if self.carrier in {port.name for port in self.ports}:
            found = ["-device", f"x3130-upstream,id=switch,bus={self.carrier}"]
            for number in range(2):
                place = f"bus=switch,addr={number},chassis={20 + number},slot={20 + number}"
                found += ["-device", f"xio3130-downstream,id=down{number},{place}"]
            places += [f"down{number}" for number in range(self.carrier_drives)]
        for number, place in enumerate(places):
            file = f"file={disk},format=raw,if=none,id=disk{number},snapshot=on"
            found += ["-drive", file, "-device",
                      f"nvme,drive=disk{number},serial=SECRET{number},bus={place}"]  # fmt: skip
        return [*found, "-device", f"e1000e,bus={self.network},mac=52:54:00:12:34:56"]

    @property
    def ports(self) -> tuple[Port, ...]:
        """The slots of the processors that are fitted."""
        return tuple(port for port in PORTS if port.node < self.nodes)

    def processors(self) -> list[str]:
        """Options for processors, their memory, and the bridge of each."""
        count = self.nodes
        found = ["-smp", f"{count},sockets={count},cores=1,threads=1"]
        for node in range(count):
            memory = f"memory-backend-ram,id=m{node},size={512 // count}M"
            found += ["-object", memory, "-numa", f"node,nodeid={node},cpus={node},memdev=m{node}"]
            bridge = f"pxb-pcie,id=node{node},bus_nr={(0x20, 0x80)[node]:#x},bus=pcie.0"
            found += ["-device", f"{bridge},numa_node={node}"]
        return found

    def filled(self, port: Port) -> bool:
        return port.name in (self.drive, self.network, self.carrier)


def needed() -> tuple[str, Path, Path]:
    """Emulator, kernel and busybox; skips the test where one of them is absent."""
    emulator, busybox = shutil.which(EMULATOR), shutil.which("busybox")
    kernels = sorted((KERNEL / "boot").glob("vmlinuz-*"))
    if emulator is None or busybox is None:
        pytest.skip(f"{EMULATOR if emulator is None else 'busybox'} is not installed")
    if not kernels:
        pytest.skip("no kernel in .ci/cache/kernel; .ci/tools fetches one")
    return emulator, kernels[-1], Path(busybox)


def run(machine: Machine, folder: Path) -> Path:
    """Boot it, collect inside, and give the tar that came out; skips where a tool is absent."""
    emulator, kernel, busybox = needed()
    folder.mkdir()
    disk, packed, console = folder / "disk", folder / "out.gz", folder / "console"
    disk.write_bytes(b"")
    with disk.open("r+b") as stream:
        stream.truncate(1 << 20)
    boot = folder / "initramfs"
    boot.write_bytes(initramfs(busybox, collecting_script(), KERNEL / "lib/modules"))
    tables = []
    for port in PORTS:
        file = folder / f"{port.name}.bin"
        file.write_bytes(port.record(filled=machine.filled(port)))
        tables += ["-smbios", f"file={file}"]
    command = [
        emulator, "-machine", "q35,accel=tcg", "-m", "512", "-nodefaults", "-no-reboot",
        "-display", "none", "-monitor", f"unix:{folder}/monitor,server=on,wait=off",
        "-serial", f"file:{console}", "-serial", f"file:{packed}",
        "-kernel", str(kernel), "-initrd", str(boot),
        "-append", "console=ttyS0 quiet panic=-1 pcie_ports=native"
        + (" slotfit.errors" if machine.errors else ""),
        "-smbios", "type=1,manufacturer=Nobody,product=Fenwick,serial=SECRET-SYSTEM",
        "-smbios", "type=2,manufacturer=Nobody,product=Fenwick board,serial=SECRET-BOARD",
        *tables,
        *machine.processors(),
        *(word for port in machine.ports for word in ("-device", port.option)),
        *machine.devices(disk),
    ]  # fmt: skip
    started = subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    if machine.errors:
        inject(machine.errors, folder / "monitor", console, started)
    _, complaints = started.communicate(timeout=SECONDS)
    said = console.read_text("utf-8", "replace") if console.exists() else ""
    assert started.returncode == 0, f"{complaints}\n{said[-2000:]}"
    tar = folder / "machine.tar"
    tar.write_bytes(gzip.decompress(packed.read_bytes()))
    return tar


def inject(
    errors: tuple[str, ...], monitor: Path, console: Path, running: subprocess.Popen[str]
) -> None:
    """Tell the monitor, once the machine says that it waits."""
    while running.poll() is None:
        if console.exists() and READY in console.read_text("utf-8", "replace"):
            break
        time.sleep(0.5)
    with socket.socket(socket.AF_UNIX) as line:
        line.connect(str(monitor))
        for error in errors:
            line.sendall(f"{error}\n".encode())
            time.sleep(0.5)
            line.recv(65536)
