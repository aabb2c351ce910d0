"""A small invented machine as an emulator's command line, and what a run of it says."""

from __future__ import annotations

import gzip
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import pytest

from slotfit.read.sources import collecting_script
from tests.qemu.initramfs import initramfs
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

    def devices(self, disk: Path) -> list[str]:
        """Options for everything that is plugged in."""
        found = ["-device", f"x3130-upstream,id=switch,bus={self.carrier}"]
        for number in range(2):
            place = f"bus=switch,addr={number},chassis={20 + number},slot={20 + number}"
            found += ["-device", f"xio3130-downstream,id=down{number},{place}"]
        places = [self.drive, *(f"down{number}" for number in range(self.carrier_drives))]
        for number, place in enumerate(places):
            file = f"file={disk},format=raw,if=none,id=disk{number},snapshot=on"
            found += ["-drive", file, "-device",
                      f"nvme,drive=disk{number},serial=SECRET{number},bus={place}"]  # fmt: skip
        return [*found, "-device", f"e1000e,bus={self.network},mac=52:54:00:12:34:56"]

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
        "-display", "none", "-smp", "2,sockets=2,cores=1,threads=1",
        "-object", "memory-backend-ram,id=m0,size=256M", "-numa", "node,nodeid=0,cpus=0,memdev=m0",
        "-object", "memory-backend-ram,id=m1,size=256M", "-numa", "node,nodeid=1,cpus=1,memdev=m1",
        "-serial", f"file:{console}", "-serial", f"file:{packed}",
        "-kernel", str(kernel), "-initrd", str(boot), "-append", "console=ttyS0 quiet panic=-1",
        "-smbios", "type=1,manufacturer=Nobody,product=Fenwick,serial=SECRET-SYSTEM",
        "-smbios", "type=2,manufacturer=Nobody,product=Fenwick board,serial=SECRET-BOARD",
        *tables,
        "-device", "pxb-pcie,id=node0,bus_nr=0x20,bus=pcie.0,numa_node=0",
        "-device", "pxb-pcie,id=node1,bus_nr=0x80,bus=pcie.0,numa_node=1",
        *(word for port in PORTS for word in ("-device", port.option)),
        *machine.devices(disk),
    ]  # fmt: skip
    done = subprocess.run(
        command,
        capture_output=True,
        text=True,
        check=False,
        timeout=SECONDS,
        stdin=subprocess.DEVNULL,
    )
    said = console.read_text("utf-8", "replace") if console.exists() else ""
    assert done.returncode == 0, f"{done.stderr}\n{said[-2000:]}"
    tar = folder / "machine.tar"
    tar.write_bytes(gzip.decompress(packed.read_bytes()))
    return tar
