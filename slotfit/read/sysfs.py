"""
Linux /sys: functions with their links, slots, nodes, drives, interface names.

The root is a parameter, so that a copied tree reads like a live one. Source of the attributes:
Linux 6.12 drivers/pci/pci-sysfs.c, drivers/pci/slot.c, Documentation/ABI/testing/sysfs-bus-pci.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from slotfit.read.config_space import decode
from slotfit.read.file_tree import FileTree, text_of
from slotfit.read.seen import (
    BoardSeen,
    DriveSeen,
    ErrorCount,
    FunctionSeen,
    LinkSeen,
    NodeSeen,
    Notes,
    PciAddress,
    PortNameSeen,
    Reading,
    SlotDirSeen,
    Where,
    whole_number,
)
from slotfit.standards import pci_regs as regs


def last(tree: FileTree, path: str) -> str | None:
    """The last name of a link's real path; None if it is no link."""
    real, own = tree.real(path), tree.real(path.rpartition("/")[0])
    if real is None or own is None or real == f"{own}/{path.rpartition('/')[2]}":
        return None
    return real.rpartition("/")[2] or None


def decimal(tree: FileTree, path: str) -> int | None:
    """A decimal number; None if the file is absent or holds none."""
    text = text_of(tree, path)
    return int(text) if text and re.fullmatch(r"-?[0-9]{1,18}", text) else None


def hexadecimal(tree: FileTree, path: str) -> int | None:
    """A number written `0x...`; None if the file is absent or holds none."""
    text = text_of(tree, path)
    return int(text, 16) if text and re.fullmatch(r"0x[0-9a-fA-F]{1,8}", text) else None


def at_least_0(number: int | None) -> int | None:
    """-1 stands for "not known" in /sys."""
    return None if number is None or number < 0 else number


def first(*values: int | None) -> int | None:
    """The first value that is said."""
    return next((value for value in values if value is not None), None)


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
        number = whole_number(name.removeprefix("node")) if name.startswith("node") else None
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
    found: list[tuple[str, str, str | None]]
    found = [("class/nvme", name, "nvme") for name in tree.names("class/nvme")]
    found += [
        ("block", name, _transport(tree.real(f"block/{name}") or ""))
        for name in tree.names("block")
        if not name.startswith("nvme") and text_of(tree, f"block/{name}/device/model")
    ]
    return tuple(
        DriveSeen(
            Where(f"{file}/{folder}/{name}"),
            name,
            text_of(tree, f"{folder}/{name}/{'device/' if folder == 'block' else ''}model"),
            transport,
            _way(tree.real(f"{folder}/{name}") or ""),
            address=_address_in(tree, f"{folder}/{name}"),
        )
        for folder, name, transport in found
    )


_STEP = re.compile(r"ata\d+|\d+:\d+:\d+:\d+|(?:expander|end_device|port)-[\d:]+")


def _way(path: str) -> tuple[str, ...]:
    """The steps to a drive that the kernel's log names, the first nearest the adapter."""
    return tuple(part for part in path.split("/") if _STEP.fullmatch(part))


_COUNTERS = {
    "aer_dev_correctable": "corrected",
    "aer_dev_nonfatal": "nonfatal",
    "aer_dev_fatal": "fatal",
}
_COUNT = re.compile(r"([A-Za-z][A-Za-z_ -]*?) (\d{1,18})")


def _errors(tree: FileTree, at: str) -> tuple[ErrorCount, ...] | None:
    """
    What a function counted; None where the kernel keeps no count of it.

    Source: Linux Documentation/ABI/testing/sysfs-bus-pci-devices-aer_stats.
    """
    found: list[ErrorCount] = []
    there = False
    for file, severity in _COUNTERS.items():
        text = text_of(tree, f"{at}/{file}")
        there = there or text is not None
        for name, count in _COUNT.findall((text or "").replace(";", "\n")):
            if int(count):
                kind = "TOTAL" if name.startswith("TOTAL_") else name
                found.append(ErrorCount(severity, kind, int(count)))
    return tuple(found) if there else None


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
                found.append(PortNameSeen(Where(f"{file}/{at}"), name, kind, address=address))
    return tuple(found)


def _address_in(tree: FileTree, at: str, own: PciAddress | None = None) -> PciAddress | None:
    """The last PCI address in the real path, but for its `own`: what the thing hangs on."""
    for part in reversed((tree.real(at) or "").split("/")):
        found = PciAddress.read(part) if part.count(":") == 2 and "." in part else None
        if found and found != own:
            return found
    return None


DEVICES, SLOTS = "bus/pci/devices", "bus/pci/slots"
_WIDTH_UNKNOWN = 255
_SPEED = re.compile(r"([0-9.]+) GT/s")
_SLOT_ADDRESS = re.compile(r"([0-9a-f]{4,8}):([0-9a-f]{2})(?::[0-9a-f]{2})?")


def read_sys(tree: FileTree, file: str) -> Reading:
    """
    What the /sys tree says. Never raises; what rights hid becomes a `not-read` note.

    `tree` has its top where /sys is; `file` is its name for people.
    """
    notes = Notes(file)
    functions = [_function(tree, name, file) for name in tree.names(DEVICES)]
    reading = Reading(
        kind="sysfs",
        file=file,
        boards=boards(tree, file),
        functions=tuple(seen for seen in functions if seen),
        slot_dirs=_slot_dirs(tree, file),
        drives=drives(tree, file),
        port_names=port_names(tree, file),
        nodes=nodes(tree, file),
    )
    for path in tree.refused[:20]:
        notes.add("not-read", f"{path}: no right to read")
    return reading.with_notes(*notes.done())


def _function(tree: FileTree, name: str, file: str) -> FunctionSeen | None:
    """One function: registers where readable, attributes over them."""
    address = PciAddress.read(name)
    if address is None:
        return None
    at = f"{DEVICES}/{name}"
    where = Where(f"{file}/{at}")
    seen = decode(tree.data(f"{at}/config") or b"", address, where)
    seen = _with_identity(seen or FunctionSeen(where=where, address=address), tree, at)
    is_bridge = seen.is_bridge
    if is_bridge is None and seen.class_code is not None:
        is_bridge = seen.class_code == regs.CLASS_PCI_BRIDGE
    subordinate = decimal(tree, f"{at}/subordinate_bus_number")
    return replace(
        seen,
        link=_link(tree, at, seen.link),
        driver=last(tree, f"{at}/driver"),
        numa_node=at_least_0(decimal(tree, f"{at}/numa_node")),
        iommu_group=whole_number(last(tree, f"{at}/iommu_group")),
        is_virtual=True if tree.exists(f"{at}/physfn") else None,
        label=text_of(tree, f"{at}/label"),
        errors=_errors(tree, at),
        # A bridge, or a volume controller.
        parent=_address_in(tree, at, address),
        secondary_bus=first(decimal(tree, f"{at}/secondary_bus_number"), seen.secondary_bus),
        subordinate_bus=first(subordinate, seen.subordinate_bus),
        is_bridge=is_bridge,
    )


def _with_identity(seen: FunctionSeen, tree: FileTree, at: str) -> FunctionSeen:
    whole_class = hexadecimal(tree, f"{at}/class")
    card_vendor = hexadecimal(tree, f"{at}/subsystem_vendor")
    return replace(
        seen,
        class_code=seen.class_code if whole_class is None else whole_class >> 8,
        prog_if=seen.prog_if if whole_class is None else whole_class & 0xFF,
        vendor_id=first(hexadecimal(tree, f"{at}/vendor"), seen.vendor_id),
        device_id=first(hexadecimal(tree, f"{at}/device"), seen.device_id),
        revision=first(hexadecimal(tree, f"{at}/revision"), seen.revision),
        subsystem_vendor_id=seen.subsystem_vendor_id or card_vendor or None,
        subsystem_id=first(seen.subsystem_id, hexadecimal(tree, f"{at}/subsystem_device") or None),
    )


def _link(tree: FileTree, at: str, known: LinkSeen | None) -> LinkSeen | None:
    """Attributes win over registers read by the same kernel; absent attributes say nothing."""
    lanes_max = decimal(tree, f"{at}/max_link_width")
    said = {
        "lanes_max": None if lanes_max in (0, _WIDTH_UNKNOWN) else lanes_max,
        "lanes_now": decimal(tree, f"{at}/current_link_width"),
        "generation_max": _generation(text_of(tree, f"{at}/max_link_speed")),
        "generation_now": _generation(text_of(tree, f"{at}/current_link_speed")),
    }
    if said["lanes_max"] is None and said["generation_max"] is None and known is None:
        return None
    found: dict[str, Any] = {name: one for name, one in said.items() if one is not None}
    return replace(known or LinkSeen(), **found)


def _generation(text: str | None) -> int | None:
    """`8.0 GT/s PCIe` and the older `8 GT/s` are generation 3; `Unknown` is None."""
    found = _SPEED.match(text or "")
    return regs.GENERATION_OF_GT_S.get(found.group(1)) if found else None


def _slot_dirs(tree: FileTree, file: str) -> tuple[SlotDirSeen, ...]:
    found = []
    for name in tree.names(SLOTS):
        at = f"{SLOTS}/{name}/address"
        if match := _SLOT_ADDRESS.fullmatch(text_of(tree, at) or ""):
            bus = int(match.group(1), 16), int(match.group(2), 16)
            found.append(SlotDirSeen(Where(f"{file}/{at}"), name, bus))
    return tuple(found)
