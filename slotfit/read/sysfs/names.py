"""What has a name in /sys beside the bus: boards, nodes, drives, interfaces."""

from __future__ import annotations

import re

from slotfit.read.file_tree import FileTree, text_of
from slotfit.read.seen import BoardSeen, DriveSeen, NodeSeen, PciAddress, PortNameSeen, Where
from slotfit.read.sysfs.attributes import at_least_0, decimal, digits

_NAMES_OF = {"net": "network", "infiniband": "fabric", "scsi_host": "storage host"}


def boards(tree: FileTree, file: str) -> tuple[BoardSeen, ...]:
    """The few strings of the table that need no rights."""
    found = []
    for role, stem in (("system", "product"), ("board", "board")):
        at = "class/dmi/id"
        maker = text_of(tree, f"{at}/{'sys' if role == 'system' else 'board'}_vendor")
        product = text_of(tree, f"{at}/{stem}_name")
        if maker or product:
            version = text_of(tree, f"{at}/{stem}_version")
            found.append(BoardSeen(Where(f"{file}/{at}"), role, maker, product, version))
    return tuple(found)


def nodes(tree: FileTree, file: str) -> tuple[NodeSeen, ...]:
    at = "devices/system/node"
    found = []
    for name in tree.names(at):
        number = digits(name.removeprefix("node")) if name.startswith("node") else None
        if number is None:
            continue
        cpus = text_of(tree, f"{at}/{name}/cpulist")
        found.append(NodeSeen(Where(f"{file}/{at}/{name}"), number, cpus, _packages(tree, cpus)))
    return tuple(sorted(found, key=lambda node: node.node))


def _packages(tree: FileTree, cpus: str | None) -> tuple[int, ...] | None:
    """The sockets a node's processors sit in."""
    found = set()
    for cpu in _cpu_numbers(cpus or ""):
        at = f"devices/system/cpu/cpu{cpu}/topology/physical_package_id"
        package = at_least_0(decimal(tree, at))
        if package is not None:
            found.add(package)
    return tuple(sorted(found)) or None


def _cpu_numbers(cpus: str) -> list[int]:
    """First and last of each run in `0-7,16-23`; a run lies in one socket's numbering."""
    return [int(number) for number in re.findall(r"\d+", cpus)[:256] if len(number) < 6]


def drives(tree: FileTree, file: str) -> tuple[DriveSeen, ...]:
    found = []
    for name in tree.names("class/nvme"):
        at = f"class/nvme/{name}"
        found.append(
            DriveSeen(
                Where(f"{file}/{at}"),
                name,
                text_of(tree, f"{at}/model"),
                "nvme",
                _address_in(tree, at),
            )
        )
    for name in tree.names("block"):
        model = text_of(tree, f"block/{name}/device/model")
        if model is None or name.startswith("nvme"):
            continue
        found.append(_block_drive(tree, file, name, model))
    return tuple(found)


def _block_drive(tree: FileTree, file: str, name: str, model: str) -> DriveSeen:
    at = f"block/{name}"
    return DriveSeen(
        Where(f"{file}/{at}"),
        name,
        model,
        _transport(tree.real(at) or ""),
        _address_in(tree, at),
    )


def _transport(path: str) -> str | None:
    for mark, transport in (("/usb", "usb"), ("/end_device-", "sas"), ("/ata", "sata")):
        if mark in path:
            return transport
    return None


def port_names(tree: FileTree, file: str) -> tuple[PortNameSeen, ...]:
    found = []
    for folder, kind in _NAMES_OF.items():
        for name in tree.names(f"class/{folder}"):
            at = f"class/{folder}/{name}"
            address = _address_in(tree, at)
            if address:
                found.append(PortNameSeen(Where(f"{file}/{at}"), name, kind, address))
    return tuple(found)


def _address_in(tree: FileTree, at: str) -> PciAddress | None:
    """The last PCI address in the real path: the controller the thing hangs on."""
    for part in reversed((tree.real(at) or "").split("/")):
        found = PciAddress.read(part) if part.count(":") == 2 and "." in part else None
        if found:
            return found
    return None
