"""
Three invented machines as each tool shows them, for tests that read whole captures.

`sample/` holds what `files` writes; `pytest tests/read/test_sample.py --update` writes it anew.
"""

from __future__ import annotations

import bz2
import io
import tarfile
import tempfile
from pathlib import Path

from tests.read.machines import Placed, endpoint, port, write_nodes, write_sys
from tests.read.registers import Function
from tests.read.scenes import ACCELERATOR, HOST, NETWORK, at
from tests.read.tables import Slot, dump, onboard, processor
from tests.read.wordings import WORDINGS, listing, machine_text, onboard_text, slot_text

HOST_BRIDGE = Function(address="00:00.0", class_code=HOST, buses=None, port_type=4, slot=False)

# One processor: an accelerator, a drive in an M.2 socket, an empty slot, a soldered network chip.
KILN_BUS = [
    HOST_BRIDGE,
    port("00:01.0", 1, number=1, lanes=16),
    endpoint("01:00.0", kind=ACCELERATOR, lanes=16, device=0x00AC),
    port("00:1b.0", 2, number=17, lanes=4),
    endpoint("02:00.0", device=0x00D1),
    port("00:1c.0", 3, number=2, lanes=8, lanes_now=0, speed_now=1, active=False, present=False),
    port("00:1c.4", 4, slot=False, lanes=1),
    endpoint("04:00.0", kind=NETWORK, lanes=1, device=0x00CE),
]
KILN_SLOTS = [
    Slot("SLOT1", slot_id=1, usage=4, **at("01:00.0")),
    Slot("SLOT2", slot_id=2, kind=0xBC, width=0x0B, **at("00:1c.0")),
    Slot("M2_1", slot_id=0, kind=0x17, width=0x0A, usage=4, **at("02:00.0")),
]

# Two processors: a switch with two accelerators, a slot in four with three drives, a network card.
LOOM_BUS = [
    HOST_BRIDGE,
    port("00:01.0", 1, number=1, lanes=16, last=4),
    Function(address="01:00.0", buses=(1, 2, 4), port_type=5, slot=False, vendor=0x10AA, acs=None),
    *(
        Function(address=f"02:0{n}.0", buses=(2, 3 + n, 3 + n), port_type=6, slot=False,
                 vendor=0x10AA)
        for n in range(2)
    ),
    *(endpoint(f"0{3 + n}:00.0", kind=ACCELERATOR, lanes=16, device=0x00AD) for n in range(2)),
    Function(address="80:00.0", class_code=HOST, buses=None, port_type=4, slot=False),
    *(port(f"80:01.{n}", 0x81 + n, number=5 + n, lanes=4) for n in range(4)),
    *(endpoint(f"{0x81 + n:02x}:00.0", device=0x00D2) for n in range(3)),
    port("80:03.0", 0x85, number=9, lanes=8, power=(25, 0)),
    endpoint("85:00.0", kind=NETWORK, lanes=8, device=0x00CF),
]  # fmt: skip
LOOM_SLOTS = [
    Slot("CPU1 SLOT1", slot_id=1, kind=0xB6, usage=4, **at("01:00.0")),
    Slot("CPU2 SLOT5", slot_id=5, kind=0xB6, usage=4, **at("81:00.0")),
    Slot("CPU2 SLOT9", slot_id=9, kind=0xB5, width=0x0B, usage=4, **at("85:00.0")),
]

# A table of words and addresses that say little, as odd firmware writes them.
QUAY_SLOTS = [
    Slot("J6B2", kind=0xA5, width=0x08, usage=3, slot_id=0, **at("ff:1f.7")),
    Slot("J6B1", kind=0xA5, usage=9, slot_length=9, slot_id=1, **at("00:00.0")),
    Slot("PCIE_3", kind=0xEE, width=0x0B, usage=4, slot_id=2, **at("00:1f.7")),
]

# Both places that the fields of 3.4 are found at, without and with a peer (DSP0134 3.4 and 3.5).
LAYOUTS = [
    Slot(f"L{'14' if gap else '13'}-n{count}", width=0x0B, slot_id=3, physical=0x0D, pitch=2032,
         height=4, gap=gap, peers=[(0, 0x42, 0, 8)] * count, level="3.5")
    for gap in (False, True)
    for count in (0, 1)
]  # fmt: skip


def files() -> dict[str, bytes]:
    """Path below `sample/` -> content."""
    kiln, loom = machine_text("Kiln", ["CPU"]), machine_text("Loom", ["CPU1", "CPU2"])
    lan = onboard_text(0x29, "Onboard LAN", "0000:04:00.0")
    texts = {
        "dmidecode/kiln.txt": f"# dmidecode 3.3\n{kiln}{slots_text(KILN_SLOTS)}{lan}",
        "dmidecode/loom.txt": f"# dmidecode 3.6\n{loom}{slots_text(LOOM_SLOTS, apart=True)}",
        "dmidecode/quay.txt": f"# dmidecode 2.12\n{machine_text('Quay', [])}"
        f"{slots_text(QUAY_SLOTS)}".replace("\n", "\r\n"),
        "lspci/kiln-registers.txt": "".join(one.dump(256) for one in in_order(KILN_BUS)),
        "lspci/loom-registers.txt": "".join(one.dump(256) for one in in_order(LOOM_BUS)),
        **{
            f"lspci/loom-{version}.txt": listing(in_order(LOOM_BUS), how)
            for version, how in WORDINGS.items()
        },
    }
    tables = {
        "smbios/kiln.bin": dump(
            processor(0x10, "CPU", populated=True),
            *(slot.pack(number) for number, slot in enumerate(KILN_SLOTS, 0x20)),
            onboard(0x29, "Onboard LAN", 4, 0),
        ),
        "smbios/layouts.bin": dump(*(one.pack(n) for n, one in enumerate(LAYOUTS))),
    }
    written = {name: text.encode() for name, text in texts.items()}
    return {**written, **tables, "sysfs/loom.tar.bz2": tree(LOOM_BUS)}


def in_order(bus: list[Function]) -> list[Function]:
    """As the listing tool lists them."""
    return sorted(bus, key=lambda one: one.address)


def slots_text(slots: list[Slot], *, apart: bool = False) -> str:
    """The slots' records, one after another."""
    return "".join(slot_text(slot, n, width_apart=apart) for n, slot in enumerate(slots, 0x20))


def tree(bus: list[Function]) -> bytes:
    """A tar of the machine's /sys, of two nodes with a processor each."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder) / "loom"
        write_sys(root, placed(bus))
        write_nodes(root, 2)
        out = io.BytesIO()
        with tarfile.open(fileobj=out, mode="w") as tar:
            for path in sorted(root.rglob("*")):
                tar.add(path, path.relative_to(folder), recursive=False, filter=nobody)
    return bz2.compress(out.getvalue())


def nobody(info: tarfile.TarInfo) -> tarfile.TarInfo:
    """The same entry whoever writes it, and whenever."""
    info.uid = info.gid = info.mtime = 0
    info.uname = info.gname = ""
    info.mode = 0o755 if info.isdir() else 0o644
    return info


def placed(bus: list[Function]) -> list[Placed]:
    """Each function with the bridges above it; buses from 80h hang on the second node."""
    above = {one.buses[1]: one.address for one in bus if one.buses}
    return [Placed(one, chain(one.address, above), int(one.address >= "80")) for one in bus]


def chain(address: str, above: dict[int, str]) -> tuple[str, ...]:
    """The full addresses of the bridges above a function, root first."""
    found: list[str] = []
    while (bus := int(address[:2], 16)) in above:
        address = above[bus]
        found.insert(0, f"0000:{address}")
    return tuple(found)
