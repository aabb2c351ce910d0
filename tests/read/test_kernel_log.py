"""The kernel's log: what tells of errors is read, everything else is passed over."""

from __future__ import annotations

import pytest

from slotfit.read.kernel_log import looks_like_log, parse_log

# The shape of the first three: Linux drivers/pci/pcie/aer.c; of the others: from memory, as
# slotfit/read/kernel_log.py names their files.
LINES = {
    "[  100.000001] nvme 0000:01:00.0: PCIe Bus Error: severity=Corrected, type=Physical Layer, "
    "(Receiver ID)": ("corrected", "0000:01:00.0", "Physical"),
    "[  101.000001] pcieport 0000:00:1c.0: AER: PCIe Bus Error: severity=Uncorrected (Non-Fatal), "
    "type=Transaction Layer, (Requester ID)": ("nonfatal", "0000:00:1c.0", "Transaction"),
    "[  102.000001] pcieport 10000:00:1c.0: PCIe Bus Error: severity=Uncorrectable (Fatal), "
    "type=Data Link Layer, (Receiver ID)": ("fatal", "10000:00:1c.0", "Data"),
    "[  103.000001] pcieport 0000:00:01.0: pciehp: Slot(3-1): Link Down":
        ("link-down", "0000:00:01.0", None),
    "[  104.000001] pci 0000:00:01.0: broken device, retraining non-functional downstream link at "
    "2.5GT/s": ("retrained", "0000:00:01.0", None),
    "[  105.000001] nvme nvme0: I/O 12 QID 3 timeout, aborting": ("timeout", "nvme0", None),
    "[  106.000001] nvme nvme1: I/O tag 5 (a005) opcode 0x2 (I/O Cmd) QID 4 timeout, aborting":
        ("timeout", "nvme1", None),
    "[  107.000001] nvme nvme0: controller is down; will reset: CSTS=0x3": ("reset", "nvme0", None),
    "[  108.000001] ata3: hard resetting link": ("reset", "ata3", None),
    "[  109.000001] ata3.00: exception Emask 0x10 SAct 0x0 SErr 0x400100 action 0x6 frozen":
        ("error", "ata3", None),
    "[  110.000001] ata3: limiting SATA link speed to 3.0 Gbps": ("slowed", "ata3", None),
    "[  111.000001] sd 6:0:1:0: Power-on or device reset occurred": ("reset", "6:0:1:0", None),
    "[  112.000001] I/O error, dev sdb, sector 2048 op 0x0:(READ) flags 0x0":
        ("error", "sdb", None),
    "[  113.000001] critical medium error, dev nvme0n1, sector 8": ("error", "nvme0n1", None),
}  # fmt: skip
LOG_LINES = list(LINES)
PASSED_OVER = (
    "[    1.000000] pci 0000:00:01.0: PCI bridge to [bus 01]",
    "[    2.000000] ata3: SATA link up 6.0 Gbps (SStatus 133 SControl 300)",
    "[    3.000000] sd 6:0:1:0: [sdb] Attached SCSI disk",
)


@pytest.mark.parametrize("line", LINES)
def test_what_tells_of_an_error_is_read(line: str) -> None:
    (one,) = parse_log(f"{line}\n", "log").kernel
    assert (one.event, one.who, one.layer) == LINES[line]
    assert (str(one.where), one.seconds) == ("log:1", int(line[1:].split(".", maxsplit=1)[0]))


def test_other_lines_are_passed_over() -> None:
    assert parse_log("\n".join(PASSED_OVER), "log").kernel == ()
    assert not looks_like_log("00:01.0 PCI bridge: A port\n")


def test_how_long_the_system_ran_is_said_or_at_least_as_long_as_the_log() -> None:
    log = "\n".join(LINES)
    assert parse_log(log, "log").running_s == 113
    head = "# slotfit-collect kernel 1\n# running for 86400 s\n"
    assert parse_log(head + log, "log").running_s == 86400
    assert parse_log(head, "log").running_s == 86400
