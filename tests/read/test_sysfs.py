"""The /sys reader: live, copied, in a tar; the same answers from all."""

from __future__ import annotations

import os
import tarfile
from pathlib import Path

import pytest

from slotfit.read.file_tree import FolderTree, MemoryTree, follow, sys_folder
from slotfit.read.join import join
from slotfit.read.seen import Reading
from slotfit.read.sources import readings_of
from slotfit.read.sysfs import read_sys
from tests.read.invented import LOOM_BUS
from tests.read.machines import Placed, endpoint, port, write_sys
from tests.read.outside import captures

MACHINE = [
    Placed(port("0000:00:01.0", 1, number=7), node=0, driver="pcieport"),
    Placed(endpoint("0000:01:00.0"), ("0000:00:01.0",), node=0, driver="nvme"),
    Placed(port("0000:80:01.0", 0x81, lanes=8), node=1),
    Placed(endpoint("10000:e1:00.0"), ("0000:80:05.5", "10000:e0:02.0"), node=1),
]


def read(root: Path) -> Reading:
    tree = sys_folder(FolderTree(root))
    assert tree is not None
    return read_sys(tree, "t")


def test_links_nodes_drivers_parents_and_slots(tmp_path: Path) -> None:
    write_sys(tmp_path, MACHINE)
    slot = tmp_path / "sys/bus/pci/slots/7"
    slot.mkdir(parents=True)
    (slot / "address").write_text("0000:01:00\n")
    reading = read(tmp_path)
    found = {str(seen.address): seen for seen in reading.functions}
    drive, vmd = found["0000:01:00.0"], found["10000:e1:00.0"]
    assert (str(drive.parent), drive.driver, drive.numa_node) == ("0000:00:01.0", "nvme", 0)
    assert str(vmd.parent) == "10000:e0:02.0"
    assert drive.link
    assert (drive.link.lanes_max, drive.link.generation_max) == (4, 4)
    assert (found["0000:00:01.0"].slot_number, found["0000:00:01.0"].secondary_bus) == (7, 1)
    assert [(seen.name, seen.bus) for seen in reading.slot_dirs] == [("7", (0, 1))]
    assert not reading.notes


# What the kernel prints: facts on drivers/pci/pci-sysfs.c and pcie_get_width_cap.
@pytest.mark.parametrize(
    ("name", "written", "field", "said"),
    [
        ("max_link_speed", "8 GT/s", "generation_max", 3),
        ("max_link_speed", "16.0 GT/s PCIe", "generation_max", 4),
        ("current_link_speed", "Unknown", "generation_now", None),
        ("current_link_width", "0", "lanes_now", 0),
        ("max_link_width", "255", "lanes_max", None),
    ],
)
def test_what_the_kernel_prints(
    tmp_path: Path, name: str, written: str, field: str, said: int | None
) -> None:
    write_sys(tmp_path, MACHINE[:1])
    real = tmp_path / "sys/devices/pci0000:00/0000:00:01.0"
    (real / "config").write_bytes(MACHINE[0].function.space()[:64])
    (real / name).write_text(written + "\n")
    (seen,) = read(tmp_path).functions
    assert seen.link
    assert getattr(seen.link, field) == said


def test_absent_link_files_are_not_no_link(tmp_path: Path) -> None:
    write_sys(tmp_path, MACHINE[1:2])
    real = tmp_path / "sys/devices/pci0000:00/0000:00:01.0/0000:01:00.0"
    for name in ("max_link_width", "max_link_speed", "current_link_width", "current_link_speed"):
        (real / name).unlink()
    (seen,) = read(tmp_path).functions
    assert seen.link
    assert seen.link.lanes_max == 4, "the registers still say it"
    (real / "config").write_bytes(b"")
    (seen,) = read(tmp_path).functions
    assert seen.link is None


def test_headers_only_are_noted(tmp_path: Path) -> None:
    write_sys(tmp_path, MACHINE[:1])
    config = tmp_path / "sys/devices/pci0000:00/0000:00:01.0/config"
    config.write_bytes(config.read_bytes()[:64])
    reading = read(tmp_path)
    assert reading.functions[0].slot_number is None
    (note,) = join([reading]).notes
    assert (note.kind, note.text[:24]) == ("not-read", "1 functions show only th")


# The real capture lists 28 functions; the invented one has those of its writer.
@pytest.mark.parametrize("path", captures("sysfs", "*.tar.bz2"), ids=lambda path: path.name)
def test_a_tree_reads_alike_from_its_tar_and_from_disk(path: Path, tmp_path: Path) -> None:
    (packed,) = readings_of(path)
    with tarfile.open(path) as tar:
        tar.extractall(tmp_path, filter="tar")
    unpacked = read(tmp_path)
    count = len(LOOM_BUS) if path.name == "loom.tar.bz2" else 28
    assert len(packed.functions) == count == len(unpacked.functions)
    for one, other in zip(packed.functions, unpacked.functions, strict=True):
        assert (one.address, one.link, one.numa_node, one.parent, one.driver) == (
            other.address, other.link, other.numa_node, other.parent, other.driver,
        )  # fmt: skip
    assert [(node.node, node.packages) for node in packed.nodes] == [(0, (0,)), (1, (1,))]
    for seen in unpacked.functions:
        (attribute,) = tmp_path.glob(f"*/sys/bus/pci/devices/{seen.address}/max_link_width")
        assert seen.link
        assert seen.link.lanes_max == int(attribute.read_text())


def test_links_and_pipes_that_would_leave_the_tree_are_not_followed(tmp_path: Path) -> None:
    outside = tmp_path / "secret"
    outside.write_text("0x1234")
    root = tmp_path / "copy"
    write_sys(root, MACHINE[:1])
    real = root / "sys/devices/pci0000:00/0000:00:01.0"
    for name in ("vendor", "label", "config"):
        (real / name).unlink(missing_ok=True)
    (real / "vendor").symlink_to(outside)
    (real / "config").symlink_to("/dev/zero")
    os.mkfifo(real / "label")
    (seen,) = read(root).functions
    assert (seen.vendor_id, seen.label, seen.port_type) == (None, None, None)


@pytest.mark.parametrize(
    ("links", "path", "real"),
    [
        ({}, "a/b", "a/b"),
        ({"a": "b"}, "a/c", "b/c"),
        ({"a/x": "../b"}, "a/x/c", "b/c"),
        ({"a": "/b"}, "a/c", "b/c"),
        ({"a": "a"}, "a", None),
        ({"a": "b", "b": "a"}, "a/c", None),
        ({"a": "../../etc"}, "a/passwd", None),
    ],
)
def test_links_in_memory_stay_inside(links: dict[str, str], path: str, real: str | None) -> None:
    assert follow(links, path) == real
    assert MemoryTree({"b/c": b"1"}, links).real(path) == real


def test_a_live_system_is_read() -> None:
    if not Path("/sys/bus/pci/devices").is_dir():
        pytest.skip("this system has no PCI bus")
    reading = read(Path("/"))
    names = {entry.name for entry in Path("/sys/bus/pci/devices").iterdir()}
    assert {str(seen.address) for seen in reading.functions} == names
