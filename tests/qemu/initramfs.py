"""A root file system in memory: busybox, a few modules, the collecting script, and what runs it."""

from __future__ import annotations

import gzip
import lzma
import re
from pathlib import Path

MODULE = re.compile(rb"\0depends=([^\0]*)\0")
INIT = """#!/bin/busybox sh
/bin/busybox --install -s /bin
export PATH=/bin
mount -t devtmpfs none /dev
mount -t proc none /proc
mount -t sysfs none /sys
mount -t tmpfs none /tmp
echo 3 >/proc/sys/kernel/printk
for module in {modules}; do insmod /modules/$module.ko || echo "no $module"; done
sleep {settle}
if grep -q slotfit.errors /proc/cmdline; then
    echo {ready} >/dev/ttyS0
    tries=60
    until grep -qs "^TOTAL.* [1-9]" /sys/bus/pci/devices/*/aer_dev_* || [ $tries = 0 ]; do
        sleep 1
        tries=$((tries - 1))
    done
fi
stty -F /dev/ttyS1 raw
sh /collect.sh 2>/tmp/said | gzip >/tmp/machine.tar.gz
cat /tmp/said
cat /tmp/machine.tar.gz >/dev/ttyS1
sync
poweroff -f
"""


READY = "ready for errors"
"""What the machine says once errors may come; it waits until one is counted."""


def member(name: str, mode: int, data: bytes, number: int) -> bytes:
    """One entry of a `newc` cpio archive (Linux Documentation/driver-api/early-userspace)."""
    fields = (number, mode, 0, 0, 1, 0, len(data), 0, 0, 0, 0, len(name) + 1, 0)
    head = b"070701" + b"".join(b"%08X" % value for value in fields) + name.encode() + b"\0"
    return padded(head) + padded(data)


def padded(data: bytes) -> bytes:
    return data + b"\0" * (-len(data) % 4)


def archive(files: dict[str, tuple[int, bytes]]) -> bytes:
    """A compressed archive of path -> (mode, content); folders have no content."""
    entries = [
        member(name, mode, data, at) for at, (name, (mode, data)) in enumerate(files.items())
    ]
    return gzip.compress(b"".join([*entries, member("TRAILER!!!", 0, b"", 0)]), 1)


def modules(kernel: Path, *wanted: str) -> dict[str, bytes]:
    """Kernel modules with all that they need, what is needed first before what needs it."""
    there = {path.name.split(".ko")[0]: path for path in kernel.rglob("*.ko*")}
    found: dict[str, bytes] = {}

    def add(name: str) -> None:
        path = there.get(name) or there.get(name.replace("_", "-"))
        if path is None or name in found:
            return  # built into the kernel
        data = path.read_bytes()
        data = lzma.decompress(data) if path.suffix == ".xz" else data
        needed = MODULE.search(data)
        for other in needed.group(1).decode().split(",") if needed else ():
            if other:
                add(other.replace("-", "_"))
        found[name] = data

    for name in wanted:
        add(name)
    return found


def initramfs(busybox: Path, script: str, kernel: Path) -> bytes:
    """What the machine runs: load, collect, send over the second serial port, switch off."""
    loaded = modules(kernel, "nvme")
    init = INIT.format(modules=" ".join(loaded), settle=2, ready=READY)
    folder, program = 0o040755, 0o100755
    files = dict.fromkeys(("bin", "dev", "proc", "sys", "tmp", "modules"), (folder, b""))
    files |= {
        "bin/busybox": (program, busybox.read_bytes()),
        "init": (program, init.encode()),
        "collect.sh": (program, script.encode()),
    }
    files |= {f"modules/{name}.ko": (0o100644, data) for name, data in loaded.items()}
    return archive(files)
