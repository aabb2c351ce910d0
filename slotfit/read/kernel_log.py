"""
What the kernel has written about errors of PCI Express, links, and resets of disks.

Wording as of Linux 6.12 (drivers/pci/pcie/aer.c, drivers/pci/hotplug/pciehp_ctrl.c,
drivers/pci/quirks.c, drivers/nvme/host/pci.c, drivers/ata/libata-core.c and libata-eh.c,
drivers/scsi/sd.c, block/blk-core.c): aer.c as read, the others from memory. Lines of another shape
are passed over.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from slotfit.read.pasted import lines_of
from slotfit.read.seen import KernelLineSeen, PciAddress, Reading, Where

_AT = r"(?P<at>[0-9a-f]{4,8}:[0-9a-f]{2}:[0-9a-f]{2}\.[0-7])"
_BY = r"\w+ " + _AT + ": (?:AER: |pciehp: )*"
_NVME = r"nvme (?P<who>nvme\d+): "
_ATA = r"(?P<who>ata\d+)(?:\.\d+)?: "


class Shape(NamedTuple):
    """A shape of lines, and the word for what it tells."""

    event: str
    pattern: re.Pattern[str]


def _shape(event: str, pattern: str) -> Shape:
    return Shape(event, re.compile(pattern))


SHAPES = (
    _shape("corrected", _BY + r"PCIe Bus Error: severity=Correct(?:ed|able), type=(?P<kind>\w+)"),
    _shape("nonfatal", _BY + r"PCIe Bus Error: .*\(Non-Fatal\), type=(?P<kind>\w+)"),
    _shape("fatal", _BY + r"PCIe Bus Error: .*\(Fatal\), type=(?P<kind>\w+)"),
    _shape("link-down", _BY + r"Slot\([\d-]+\): (?:Link Down|Card not present)"),
    _shape("retrained", _BY + r"(?:broken device, )?retraining "),
    _shape("timeout", _NVME + r"I/O .*QID \d+ timeout"),
    _shape(
        "reset",
        _NVME + r"(?:controller is down; will reset|resetting controller|Device not ready"
        r"|Disabling device after reset failure|Removing after probe failure)",
    ),
    _shape("reset", _ATA + r"(?:hard resetting link|soft resetting link|COMRESET failed)"),
    _shape("slowed", _ATA + r"limiting SATA link speed"),
    _shape("error", _ATA + r"(?:exception Emask|failed command)"),
    _shape(
        "reset",
        r"sd (?P<who>\d+:\d+:\d+:\d+): (?:Power-on or device reset|attempting task abort"
        r"|\[sd[a-z]+\] tag#\d+ FAILED)",
    ),
    _shape(
        "error",
        r"(?:blk_update_request: )?(?:I/O|critical medium|critical target|protection) error, "
        r"dev (?P<who>sd[a-z]+|nvme\d+(?:c\d+)?n\d+), sector",
    ),
)
_TIMED = re.compile(r"\[ *(\d{1,9})\.\d+\] (.*)")
_RUNNING = re.compile(r"# running for (\d{1,10}) s$")
_HEAD = "# slotfit-collect kernel 1"
LOOKS = re.compile(r"^\[ *\d{1,9}\.\d{6}\] ", re.MULTILINE)
MOST_LINES = 5000


def looks_like_log(text: str) -> bool:
    """Whether lines with the kernel's times stand in it."""
    return text.startswith(_HEAD) or bool(LOOKS.search(text))


def parse_log(text: str, file: str) -> Reading:
    """
    Every line that tells of an error, and for how long the system had run.

    Where nothing says how long, the last line's time does: so long at least.
    """
    found: list[KernelLineSeen] = []
    running: int | None = None
    last = 0
    for number, line in lines_of(text):
        if head := _RUNNING.match(line):
            running = int(head[1])
        timed = _TIMED.match(line)
        if timed is None:
            continue
        last = int(timed[1])
        one = _line(timed[2], last, Where(file, line=number))
        if one and len(found) < MOST_LINES:
            found.append(one)
    return Reading("kernel log", file, kernel=tuple(found), running_s=running or last or None)


def _line(text: str, seconds: int, where: Where) -> KernelLineSeen | None:
    for shape in SHAPES:
        match = shape.pattern.match(text)
        if match:
            said = match.groupdict()
            address = PciAddress.read(said.get("at") or "")
            return KernelLineSeen(
                where, shape.event, said.get("who") or str(address), seconds, said.get("kind"),
                address,
            )  # fmt: skip
    return None
