"""Link rates, the tree of bridges and locality, as hwloc reads them from the same /sys tree."""

from __future__ import annotations

import os
import subprocess
import tarfile
from xml.etree import ElementTree as ET

import pytest

from slotfit.read.seen import PciAddress, Reading
from slotfit.read.sources import readings_of
from slotfit.standards.pcie import lane_mb_s
from tests.read.outside import captures, need

Node = ET.Element


@pytest.fixture(scope="module", params=captures("sysfs", "*.tar.bz2"), ids=lambda path: path.name)
def both(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> tuple[Reading, Node]:
    """Our reading and hwloc's, of one captured tree."""
    program, path = need("lstopo-no-graphics"), request.param
    folder = tmp_path_factory.mktemp("tree")
    with tarfile.open(path) as tar:
        tar.extractall(folder, filter="tar")
    (root,) = folder.iterdir()
    (reading,) = readings_of(root)
    printed = subprocess.run(
        [program, "--if", "fsroot", "-i", str(root), "--whole-io", "--of", "xml"],
        env=os.environ | {"HWLOC_HIDE_ERRORS": "2"},
        capture_output=True,
        check=True,
        timeout=60,
    )
    return reading, ET.fromstring(printed.stdout)  # our own program's output


def devices(tree: Node) -> dict[PciAddress, tuple[Node, list[Node]]]:
    """Address -> hwloc's object and the objects it lies in, outermost first."""
    found: dict[PciAddress, tuple[Node, list[Node]]] = {}

    def walk(node: Node, above: list[Node]) -> None:
        address = PciAddress.read(node.get("pci_busid") or "")
        if address:
            found[address] = (node, above)
        for child in node.iterfind("object"):
            walk(child, [*above, node])

    walk(tree, [])
    return found


def test_it_sees_the_same_functions(both: tuple[Reading, Node]) -> None:
    reading, tree = both
    assert set(devices(tree)) == {seen.address for seen in reading.functions}


def test_link_rates_are_hwlocs(both: tuple[Reading, Node]) -> None:
    reading, tree = both
    theirs = devices(tree)
    compared = []
    for seen in reading.functions:
        rate = float(theirs[seen.address][0].get("pci_link_speed") or 0)
        if rate and seen.link and seen.link.generation_now and seen.link.lanes_now:
            ours = lane_mb_s(seen.link.generation_now, seen.link.lanes_now)
            assert rate * 1000 == pytest.approx(ours, abs=1)
            compared.append(seen.address)
    assert len(compared) >= 0.8 * len(reading.functions)


def test_bridges_above_are_hwlocs(both: tuple[Reading, Node]) -> None:
    reading, tree = both
    theirs = devices(tree)
    for seen in reading.functions:
        above = theirs[seen.address][1][-1].get("pci_busid")
        if above is not None and seen.parent in theirs:
            assert PciAddress.read(above) == seen.parent


def test_locality_is_hwlocs(both: tuple[Reading, Node]) -> None:
    reading, tree = both
    theirs = devices(tree)
    for seen in reading.functions:
        nodes = [
            int(child.get("os_index") or -1)
            for outer in theirs[seen.address][1]
            for child in outer.iterfind("object")
            if child.get("type") == "NUMANode"
        ]
        assert nodes == [seen.numa_node]
