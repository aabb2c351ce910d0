"""
Groups functions into parts: what a hand would pull out as one thing.

All functions below one port are one part. A switch whose endpoints are all drives is a carrier with
drives inside; a switch with one kind of device below is one card that happens to have a switch; a
switch with different devices below is kept open, for it may be on the board, in a riser or a card.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from slotfit.read.merge.machine import PartSeen
from slotfit.read.merge.topology import Topology
from slotfit.read.seen import DriveSeen, FunctionSeen, PciAddress, PortNameSeen
from slotfit.standards import pci_regs as regs


class Names:
    """Drives and interface names by the function they hang on."""

    def __init__(self, drives: Iterable[DriveSeen], ports: Iterable[PortNameSeen]) -> None:
        self.drives: dict[PciAddress, list[DriveSeen]] = defaultdict(list)
        self.ports: dict[PciAddress, list[PortNameSeen]] = defaultdict(list)
        for drive in drives:
            if drive.address:
                self.drives[drive.address].append(drive)
        for port in ports:
            if port.address:
                self.ports[port.address].append(port)


def parts_below(
    port: FunctionSeen,
    topology: Topology,
    names: Names,
    claimed: frozenset[PciAddress] = frozenset(),
) -> tuple[PartSeen, ...]:
    """
    The parts below a port: none, one, or on a conventional bus one a device number.

    What hangs below a port in `claimed` belongs to another receptacle and is left out; a switch
    that leads there is the board's, so that what else it leads to are parts of their own.
    """
    if claimed and any(seen.address in claimed for seen in topology.all_below(port)):
        return _around(port, topology, names, claimed)
    children = topology.below(port)
    if not children:
        return ()
    groups: dict[int, list[FunctionSeen]] = defaultdict(list)
    conventional = port.port_type in (regs.TO_PCI_BRIDGE, regs.CONVENTIONAL) or (
        port.port_type is None and len({seen.address.device for seen in children}) > 1
    )
    for seen in children:
        groups[seen.address.device if conventional else 0].append(seen)
    return tuple(_part(group, port, topology, names) for group in groups.values())


def _around(
    port: FunctionSeen, topology: Topology, names: Names, claimed: frozenset[PciAddress]
) -> tuple[PartSeen, ...]:
    children = topology.below(port)
    direct = [seen for seen in children if not seen.is_bridge]
    parts = [part_of(direct, names, port.address)] if direct else []
    for child in children:
        if child.is_bridge and child.address not in claimed:
            parts += parts_below(child, topology, names, claimed)
    return tuple(parts)


def part_of(
    functions: Sequence[FunctionSeen], names: Names, port: PciAddress | None = None
) -> PartSeen:
    """One part of these functions, which belong to one device."""
    return PartSeen(
        "endpoint",
        functions[0],
        tuple(functions),
        port,
        drives=tuple(drive for seen in functions for drive in names.drives[seen.address]),
        names=tuple(name for seen in functions for name in names.ports[seen.address]),
    )


def _part(
    group: list[FunctionSeen], port: FunctionSeen, topology: Topology, names: Names
) -> PartSeen:
    bridges = [seen for seen in group if seen.secondary_bus]
    below = [seen for bridge in bridges for seen in topology.all_below(bridge)]
    functions = sorted({*group, *below}, key=lambda seen: seen.address)
    endpoints = [seen for seen in functions if not seen.is_bridge and not _is_own(seen, bridges)]
    if not bridges:
        return part_of(group, names, port.address)
    if not endpoints:
        return PartSeen("switch", group[0], tuple(functions), port.address)
    if all(seen.class_code == regs.CLASS_NVME for seen in endpoints):
        return _with_inside("carrier", group, bridges, port, topology, names)
    if _is_one_card([seen for seen in functions if seen.is_bridge], endpoints):
        return part_of(functions, names, port.address)
    return _with_inside("switch", group, bridges, port, topology, names)


def _is_own(seen: FunctionSeen, bridges: list[FunctionSeen]) -> bool:
    """Whether this is another function of a switch's upstream port: its management or its DMA."""
    device = (seen.address.bus, seen.address.device)
    return any(device == (bridge.address.bus, bridge.address.device) for bridge in bridges)


def _with_inside(
    kind: str,
    group: list[FunctionSeen],
    bridges: list[FunctionSeen],
    port: FunctionSeen,
    topology: Topology,
    names: Names,
) -> PartSeen:
    """A switch and what its downstream ports lead to."""
    inside: list[PartSeen] = []
    for bridge in bridges:
        children = topology.below(bridge)
        direct = [seen for seen in children if not seen.is_bridge]
        if direct:
            inside.append(part_of(direct, names, bridge.address))
        for down in children:
            if down.is_bridge:
                inside += parts_below(down, topology, names)
    own = [*group, *(seen for bridge in bridges for seen in topology.below(bridge))]
    held = {seen.address for part in inside for seen in part.functions}
    functions = tuple(seen for seen in own if seen.address not in held)
    return PartSeen(kind, group[0], functions, port.address, tuple(inside))


def _is_one_card(bridges: list[FunctionSeen], endpoints: list[FunctionSeen]) -> bool:
    """
    Whether a switch and its endpoints are one card.

    They are if one vendor made switch and devices. Otherwise ports that say they lead to slots, or
    more than two wide devices, which no card has room for, speak against it; one device, or several
    of one chip, for it.
    """
    vendors = {seen.vendor_id for seen in (*bridges, *endpoints)}
    if None not in vendors and len(vendors) == 1:
        return True
    if any(seen.slot_implemented and seen.port_type == regs.DOWNSTREAM_PORT for seen in bridges):
        return False
    devices = {(seen.address.bus, seen.address.device) for seen in endpoints}
    kinds = {(seen.vendor_id, seen.device_id, seen.class_code) for seen in endpoints}
    wide = [seen for seen in endpoints if seen.link and (seen.link.lanes_max or 0) >= 8]
    return len(devices) == 1 or (len(kinds) == 1 and len(wide) <= 2)
