"""On-board devices and their groups, as they are read from a running machine."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from slotfit.answers.place.plan import best_plan
from slotfit.api import read
from slotfit.load.build_file import load
from slotfit.model.plan import Status
from tests.limits import SECONDS

LISTING = """\
00:00.0 Host bridge: Invented host bridge
\tIOMMU group: 0

00:14.0 USB controller: Invented USB controller (prog-if 30 [XHCI])
\tIOMMU group: 5

00:17.0 SATA controller: Invented SATA controller (prog-if 01 [AHCI 1.0])
\tIOMMU group: {disks}

00:1c.0 PCI bridge: Invented root port (prog-if 00 [Normal decode])
\tBus: primary=00, secondary=01, subordinate=01, sec-latency=0
\tIOMMU group: 5
\tCapabilities: [40] Express (v2) Root Port (Slot+), MSI 00
\t\tLnkCap:\tPort #1, Speed 8GT/s, Width x4, ASPM L1, Exit Latency L1 <16us
\t\tLnkSta:\tSpeed 8GT/s, Width x4
\t\tSltCap:\tAttnBtn- PwrCtrl- MRL- AttnInd- PwrInd- HotPlug- Surprise-
\t\t\tSlot #1, PowerLimit 25W; Interlock- NoCompl+

00:1f.0 ISA bridge: Invented ISA bridge
\tIOMMU group: 7

00:1f.3 Audio device: Invented audio device
\tIOMMU group: 7

01:00.0 Ethernet controller: Invented network card
\tIOMMU group: 5
\tCapabilities: [40] Express (v2) Endpoint, MSI 00
\t\tLnkCap:\tPort #0, Speed 8GT/s, Width x4, ASPM L1, Exit Latency L1 <16us
\t\tLnkSta:\tSpeed 8GT/s, Width x4
"""


def written(folder: Path, disks: int) -> Path:
    """The files of a machine whose chipset lists its disks in that group."""
    listing = folder / "listing.txt"
    listing.write_text(LISTING.format(disks=disks), "utf-8")
    read([listing], folder / "made")
    return folder / "made"


def test_devices_are_written_with_their_groups(tmp_path: Path) -> None:
    board = yaml.safe_load((written(tmp_path, 5) / "board.yaml").read_text("utf-8"))
    assert board["devices"] == [
        {"id": "usb", "kind": "usb", "isolation": "group5"},
        {"id": "storage", "kind": "storage", "isolation": "group5"},
        {"id": "sound", "kind": "sound", "isolation": "group7"},
    ]


@pytest.mark.parametrize(("disks", "there"), [(5, False), (6, True)])
def test_a_card_beside_the_disks_is_handed_to_no_guest(
    disks: int, there: bool, tmp_path: Path
) -> None:
    build = written(tmp_path, disks) / "build.yaml"
    said = yaml.safe_load(build.read_text("utf-8"))
    said["machines"][0]["keeps"] = ["storage"]
    said["parts"][0]["guest"] = "web"
    build.write_text(yaml.safe_dump(said), "utf-8")
    answer = best_plan(load(build), SECONDS)
    assert (answer.status is Status.PROVEN) == there


PORT = """\
00:1c.{n} PCI bridge: Invented root port (prog-if 00 [Normal decode])
\tBus: primary=00, secondary=0{bus}, subordinate=0{bus}, sec-latency=0
\tIOMMU group: {group}
\tCapabilities: [40] Express (v2) Root Port (Slot+), MSI 00
\t\tLnkCap:\tPort #{bus}, Speed 8GT/s, Width x4, ASPM L1, Exit Latency L1 <16us
\t\tLnkSta:\tSpeed 8GT/s, Width x4
\t\tSltCap:\tAttnBtn- PwrCtrl- MRL- AttnInd- PwrInd- HotPlug- Surprise-
\t\t\tSlot #{bus}, PowerLimit 25W; Interlock- NoCompl+

0{bus}:00.0 Ethernet controller: Invented network card
\tIOMMU group: {below}
\tCapabilities: [40] Express (v2) Endpoint, MSI 00
\t\tLnkCap:\tPort #0, Speed 8GT/s, Width x4, ASPM L1, Exit Latency L1 <16us
\t\tLnkSta:\tSpeed 8GT/s, Width x4

"""


@pytest.mark.parametrize(("groups", "apart"), [((3, 3, 3, 3), False), ((3, 13, 4, 14), True)])
def test_ports_without_access_control_are_as_far_apart_as_the_kernel_has_them(
    groups: tuple[int, int, int, int], apart: bool, tmp_path: Path
) -> None:
    """
    Two functions of one device, neither with the capability.

    Linux 6.12 drivers/iommu/iommu.c, pci_device_group: they and all below share a group, unless
    drivers/pci/quirks.c, pci_dev_acs_enabled, answers for them (both read in the source).
    """
    listing = tmp_path / "listing.txt"
    one, below_one, other, below_other = groups
    ports = PORT.format(n=0, bus=1, group=one, below=below_one)
    ports += PORT.format(n=1, bus=2, group=other, below=below_other)
    listing.write_text("00:00.0 Host bridge: Invented\n\tIOMMU group: 0\n\n" + ports, "utf-8")
    read([listing], tmp_path / "made")
    board = yaml.safe_load((tmp_path / "made" / "board.yaml").read_text("utf-8"))
    words = [slot["isolation"] for slot in board["receptacles"]]
    assert len(words) == 2
    assert (words[0] != words[1]) == apart
