"""The collecting script: every shell, a copied root, and what it must not give away."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import tarfile
from importlib.resources import files
from io import BytesIO
from pathlib import Path

import pytest

from slotfit.read.seen import ErrorCount
from slotfit.read.sources import readings_of, readings_of_bytes
from tests.read.machines import Placed, endpoint, port, write_sys
from tests.read.tables import Slot, dump, processor, structure
from tests.read.test_kernel_log import LOG_LINES

SCRIPT = str(files("slotfit.read") / "collect.sh")
SHELLS = ["sh", "dash", "busybox sh", "bash --posix"]
# The files' layout: Linux Documentation/ABI/testing/sysfs-bus-pci-devices-aer_stats; the names:
# Linux drivers/pci/pcie/aer.c.
COUNTERS = {
    "aer_dev_correctable": "RxErr 312\nBadTLP 0\nBadDLLP 7\nTOTAL_ERR_COR 318\n",
    "aer_dev_nonfatal": "Undefined 0\nCmpltTO 0\nTOTAL_ERR_NONFATAL 0\n",
    "aer_dev_fatal": "Undefined 0\nDLP 1\nTOTAL_ERR_FATAL 1\n",
}
SERIAL, MAC, UUID = "SN-SECRET-77", "52:54:00:12:34:56", bytes(range(1, 17))


@pytest.fixture(params=SHELLS)
def shell(request: pytest.FixtureRequest) -> list[str]:
    words: list[str] = request.param.split()
    if shutil.which(words[0]) is None:
        pytest.skip(f"{words[0]} is not installed")
    return words


def collect(shell: list[str], root: Path | str, *options: str) -> bytes:
    environment = os.environ | {"SLOTFIT_ROOT": str(root)}
    done = subprocess.run(
        [*shell, SCRIPT, *options], env=environment, capture_output=True, check=True
    )
    return done.stdout


def members(data: bytes) -> dict[str, bytes]:
    with tarfile.open(fileobj=BytesIO(data)) as tar:
        return {
            info.name.rpartition("/")[2]: stream.read()
            for info in tar
            if (stream := tar.extractfile(info)) is not None
        }


def table() -> bytes:
    """A table with secrets in every place they usually have."""
    system = bytes((1, 2, 3, 4)) + UUID + bytes((6, 5, 6))
    return dump(
        structure(1, 1, system, "Maker", "Model", "Version", SERIAL, "SKU", "Family"),
        structure(2, 2, bytes((1, 2, 0, 3, 4)), "Maker", "Board", SERIAL, SERIAL),
        structure(3, 3, bytes((1, 0x17, 0, 2, 3)) + bytes(15), "Maker", SERIAL, SERIAL),
        processor(4, "CPU 1", populated=True),
        Slot(designation="SLOT1").pack(5),
        structure(11, 6, bytes((1,)), f"owner {SERIAL} {MAC}"),
        structure(221, 7, SERIAL.encode(), SERIAL),
    )


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """An invented machine with secrets."""
    place = tmp_path / "root"
    write_sys(
        place,
        [
            Placed(port("0000:00:01.0", 1, number=3), driver="pcieport"),
            Placed(endpoint("0000:01:00.0"), ("0000:00:01.0",), driver="nvme"),
        ],
    )
    real = place / "sys/devices/pci0000:00/0000:00:01.0/0000:01:00.0"
    for name, lines in COUNTERS.items():
        (real / name).write_text(lines)
    config = bytearray((real / "config").read_bytes())
    config[0x4A] = 0x05  # device status: corrected and fatal (PCI Express Base 7.5.3.5)
    config[0x100:0x10C] = bytes((3, 0, 1, 0)) + bytes.fromhex("56341200005452ff")
    (real / "config").write_bytes(config)
    firmware = place / "sys/firmware/dmi/tables"
    firmware.mkdir(parents=True)
    whole = table()
    (firmware / "smbios_entry_point").write_bytes(whole[:32])
    (firmware / "DMI").write_bytes(whole[32:])
    net = real / "net/enx525400123456"
    net.mkdir(parents=True)
    (place / "sys/class/net").mkdir(parents=True)
    (place / "sys/class/net/enx525400123456").symlink_to(net)
    return place


def test_every_shell_gives_what_the_tree_itself_gives(shell: list[str], root: Path) -> None:
    direct = readings_of(root)
    packed = readings_of_bytes(collect(shell, root), "t")
    by_kind = {reading.kind: reading for reading in packed}
    assert by_kind["smbios table"].slots[0].designation == "SLOT1"
    for one, other, registers in zip(
        direct[0].functions,
        by_kind["sysfs"].functions,
        by_kind["lspci hex"].functions,
        strict=True,
    ):
        assert (one.address, one.driver, one.parent, one.numa_node, one.vendor_id) == (
            other.address, other.driver, other.parent, other.numa_node, other.vendor_id,
        )  # fmt: skip
        assert (one.address, one.port_type, one.slot_number, one.acs_enabled) == (
            registers.address, registers.port_type, registers.slot_number, registers.acs_enabled,
        )  # fmt: skip
        assert one.link
        assert other.link
        assert one.link.lanes_max == other.link.lanes_max
        assert (one.errors, one.flagged) == (other.errors, registers.flagged)
    drive = by_kind["sysfs"].functions[1]
    assert drive.errors == (
        ErrorCount("corrected", "RxErr", 312),
        ErrorCount("corrected", "BadDLLP", 7),
        ErrorCount("corrected", "TOTAL", 318),
        ErrorCount("fatal", "DLP", 1),
        ErrorCount("fatal", "TOTAL", 1),
    )
    assert by_kind["lspci hex"].functions[1].flagged == ("corrected", "fatal")
    assert by_kind["sysfs"].functions[0].errors is None  # the kernel keeps no count of it


def test_secrets_are_masked_unless_kept(shell: list[str], root: Path) -> None:
    masked = b"".join(members(collect(shell, root)).values())
    for secret in (SERIAL.encode(), UUID, MAC.encode(), b"525400123456", b"56 34 12 00"):
        assert secret not in masked
    kept = members(collect(shell, root, "--keep"))
    assert SERIAL.encode() in kept["DMI"]
    assert kept["DMI"] == table()[32:]
    assert b"56 34 12 00" in kept["pci-config.txt"]


def test_masking_leaves_everything_of_use(root: Path) -> None:
    readings = {reading.kind: reading for reading in readings_of_bytes(collect(["sh"], root), "t")}
    found = readings["smbios table"]
    assert [(seen.role, seen.manufacturer, seen.product) for seen in found.boards] == [
        ("system", "Maker", "Model"),
        ("board", "Maker", "Board"),
    ]
    assert [seen.designation for seen in found.processors] == ["CPU 1"]
    assert not [note for note in found.notes if note.kind == "damaged"]


def test_one_small_program_is_enough(root: Path, tmp_path: Path) -> None:
    """A rescue system has nothing but busybox: its shell, awk, od, sed, tar and the rest."""
    busybox = shutil.which("busybox")
    if busybox is None:
        pytest.skip("busybox is not installed")
    programs = tmp_path / "programs"
    programs.mkdir()
    for name in ("awk", "cat", "head", "id", "ls", "mkdir", "mktemp", "od", "rm", "sed", "sh",
                 "tar", "tee", "uname"):  # fmt: skip
        (programs / name).symlink_to(busybox)
    done = subprocess.run(
        [busybox, "sh", SCRIPT],
        env={"SLOTFIT_ROOT": str(root), "PATH": str(programs)},
        capture_output=True,
        check=True,
    )
    same = ("DMI", "sys.txt", "pci-config.txt", "smbios_entry_point")
    expected, got = members(collect(["sh"], root)), members(done.stdout)
    assert {name: got[name] for name in same} == {name: expected[name] for name in same}


def test_it_changes_nothing_and_leaves_nothing(root: Path, tmp_path: Path) -> None:
    before = {path: path.lstat().st_mtime_ns for path in root.rglob("*")}
    folder = tmp_path / "temporary"
    folder.mkdir()
    subprocess.run(
        ["sh", SCRIPT],
        env=os.environ | {"SLOTFIT_ROOT": str(root), "TMPDIR": str(folder)},
        capture_output=True,
        check=True,
    )
    assert {path: path.lstat().st_mtime_ns for path in root.rglob("*")} == before
    assert list(folder.iterdir()) == []


def test_what_could_not_be_read_is_said(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    readings = readings_of_bytes(collect(["sh"], tmp_path / "empty"), "t")
    assert readings == () or any(note.kind == "not-read" for note in readings[0].notes)
    said = members(collect(["sh"], tmp_path / "empty"))["not-read.txt"].decode()
    assert "sys/bus/pci/devices: not there" in said
    assert "sys/firmware/dmi/tables" in said


LISTING = f"""01:00.0 Ethernet controller [0200]: A maker A chip [1111:2222]
\tDeviceName: Onboard LAN
\tCapabilities: [40] MSI: Enable+ Count=1/4 Maskable- 64bit+
\tCapabilities: [48] Vital Product Data
\t\tProduct Name: A card
\t\tRead-only fields:
\t\t\t[PN] Part number: PN-77
\t\t\t[EC] Engineering changes: A5
\t\t\t[SN] Serial number: {SERIAL}
\t\t\t[MN] Manufacture ID: {SERIAL}
\t\t\t[V0] Vendor specific: {SERIAL}
\t\t\t[Z0] Unknown: {SERIAL}
\t\t\t[QQ] {SERIAL}
\t\t\t[{SERIAL}
\t\tRead/write fields:
\t\t\t[YA] Asset tag: {SERIAL}
\tPhysical Slot: U78.{SERIAL}-P1
\tPhysical Slot: 3-1
\tCapabilities: [60] Vendor Specific Information: {SERIAL}
\t\tProduct Name: A card\\x90\\x1aSN\\x0c{SERIAL}
\tA line of a later version: {SERIAL}
\tCapabilities: [148 v1] Device Serial Number 52-54-00-ff-ff-12-34-56
"""


def pretend(folder: Path, **programs: str) -> dict[str, str]:
    """The environment with programs of these names, each a line of shell."""
    folder.mkdir()
    for name, line in programs.items():
        (folder / name).write_text(f"#!/bin/sh\n{line}\n")
        (folder / name).chmod(0o755)
    return os.environ | {"PATH": f"{folder}:{os.environ['PATH']}"}


def test_of_what_another_program_prints_only_lines_that_are_read_are_kept(
    shell: list[str], tmp_path: Path
) -> None:
    """The fields are those of the listing tool's vital product data and serial number lines."""
    (tmp_path / "listing").write_text(LISTING)
    environment = pretend(tmp_path / "bin", lspci=f"cat {tmp_path}/listing")
    printed = subprocess.run([*shell, SCRIPT], env=environment, capture_output=True, check=True)
    text = members(printed.stdout)["lspci.txt"].decode()
    assert SERIAL not in text
    assert "52-54" not in text
    for kept in (
        "Onboard LAN",
        "Product Name: A card\n",
        "Capabilities: [40]",
        "1111:2222",
        "Physical Slot: 3-1",
    ):
        assert kept in text


def test_of_the_kernels_log_only_lines_of_known_shapes_are_kept(tmp_path: Path) -> None:
    """Free text in them, and every other line, stays on the machine."""
    log = [f"{line} {SERIAL}" for line in LOG_LINES]
    log += [f"[    9.000000] Command line: key={SERIAL}", f"[    9.1] nvme {SERIAL}", SERIAL]
    (tmp_path / "log").write_text("\n".join(log) + "\n")
    environment = pretend(tmp_path / "bin", dmesg=f"cat {tmp_path}/log", lspci="true")
    printed = subprocess.run(["sh", SCRIPT], env=environment, capture_output=True, check=True)
    text = members(printed.stdout)["kernel.txt"]
    assert SERIAL.encode() not in text
    (found,) = readings_of_bytes(text, "kernel.txt")
    (whole,) = readings_of_bytes("\n".join(log).encode(), "log")
    assert [(one.event, one.who, one.seconds, one.layer) for one in found.kernel] == [
        (one.event, one.who, one.seconds, one.layer) for one in whole.kernel
    ]
    assert len(found.kernel) == len(LOG_LINES)
    assert found.running_s


def test_a_program_that_hangs_is_given_up(shell: list[str], tmp_path: Path) -> None:
    """It ignores a polite request to end, and what it has printed until then is kept."""
    script = tmp_path / "quick.sh"
    script.write_text(Path(SCRIPT).read_text().replace("patience=200", "patience=3"))
    line = "trap '' TERM; echo 00:00.0 Host bridge: A; exec sleep 50"
    environment = pretend(tmp_path / "bin", lspci=line)
    done = subprocess.run([*shell, script], env=environment, capture_output=True, check=True)
    assert b"lspci: hangs, given up" in done.stderr
    assert members(done.stdout)["lspci.txt"] == b"00:00.0 Host bridge: A\n"


def test_another_folder_is_taken_where_the_usual_one_cannot_be_written(shell: list[str]) -> None:
    environment = os.environ | {"TMPDIR": "/nonexistent", "TAR_OPTIONS": "--bogus", "CDPATH": "/"}
    done = subprocess.run([*shell, SCRIPT], env=environment, capture_output=True, check=True)
    assert "about.txt" in members(done.stdout)


def test_this_machine(shell: list[str]) -> None:
    if not Path("/sys/bus/pci/devices").is_dir():
        pytest.skip("this system has no PCI bus")
    readings = readings_of_bytes(collect(shell, "/"), "t")
    listed = {entry.name for entry in Path("/sys/bus/pci/devices").iterdir()}
    found = next(reading for reading in readings if reading.kind == "sysfs")
    assert {str(seen.address) for seen in found.functions} == listed


def test_a_wrong_option_shows_the_help() -> None:
    done = subprocess.run(["sh", SCRIPT, "--wrong"], capture_output=True, check=False, text=True)
    assert done.returncode == 2
    assert "--keep" in done.stderr
    assert done.stdout == ""


def test_it_is_one_page_of_lists_and_uses_nothing_that_writes_elsewhere() -> None:
    text = Path(SCRIPT).read_text(encoding="ascii")
    assert text.startswith("#!/bin/sh\n")
    assert len(text.splitlines()) < 520
    targets = set(re.findall(r">{1,2} ?(\"\$out/|&2|/dev/null|\"?[$/\w.-]+)", text))
    code = "\n".join(line for line in text.splitlines() if not line.lstrip().startswith("#"))
    assert not re.search(r"\b(curl|wget|nc|ssh|modprobe|setpci|dd|mount)\b", code)
    assert '"$out/' in targets
