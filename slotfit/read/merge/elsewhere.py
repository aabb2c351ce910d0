"""What no slot record names: other ports with a slot, soldered devices, parts of unknown place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from slotfit.read.merge.addresses import is_null
from slotfit.read.merge.machine import PartSeen, ReceptacleSeen
from slotfit.read.merge.outside import leads_out
from slotfit.read.merge.parts import Names, part_of, parts_below
from slotfit.read.merge.topology import Topology
from slotfit.read.seen import FunctionSeen, OnboardSeen, PciAddress
from slotfit.standards import pci_regs as regs

Folders = dict[tuple[int, int], str]
"""(domain, bus) -> the name of the slot folder the system has for it."""


def onboard_addresses(named: Sequence[OnboardSeen], topology: Topology) -> frozenset[PciAddress]:
    """Functions that the table or the firmware's labels call soldered."""
    found = {seen.address for seen in named if seen.address and not is_null(seen.address)}
    found |= {seen.address for seen in topology.functions.values() if seen.label}
    return frozenset(address for address in found if address in topology.functions)


def unnamed_ports(
    topology: Topology,
    claimed: frozenset[PciAddress],
    onboard_at: frozenset[PciAddress],
    folders: Folders,
    *,
    table: bool,
) -> list[FunctionSeen]:
    """
    Ports with a slot that no record claims; of two above each other the upper.

    A switch below it may be the board's or a card's: nothing on the bus tells which. `table`: there
    are slot records. Without any, a slot that the system names counts even where the port says that
    it has none, for platforms without a table name their slots so.
    """
    inside = {
        seen.address
        for address in claimed
        for seen in topology.all_below(topology.functions[address])
    }
    found: list[FunctionSeen] = []
    for port in topology.functions.values():
        taken = port.address in claimed or port.address in inside
        if taken or not topology.leads_down(port) or leads_out(port, topology):
            continue
        if not _has_slot(port, topology, folders, table=table):
            continue
        below = topology.all_below(port)
        soldered = any(seen.address in onboard_at for seen in topology.below(port))
        # A port whose switch leads to claimed slots is the board's, not a receptacle.
        if soldered or any(seen.address in claimed for seen in below):
            continue
        inside |= {seen.address for seen in below}
        found.append(port)
    return found


def _has_slot(port: FunctionSeen, topology: Topology, folders: Folders, *, table: bool) -> bool:
    """The port's own flag, a slot folder of the system, or a device below that names its slot."""
    if port.slot_implemented or (port.slot_implemented is False and table):
        return port.slot_implemented
    if (port.address.domain, port.secondary_bus or 0) in folders:
        return True
    return any(seen.physical_slot for seen in topology.below(port))


def port_label(port: FunctionSeen, topology: Topology, folders: Folders) -> str:
    """The system's name of the slot, from its folder or from what sits in it; else the address."""
    named = folders.get((port.address.domain, port.secondary_bus or 0))
    inside = (seen.physical_slot for seen in (port, *topology.below(port)) if seen.physical_slot)
    return named or next(inside, str(port.address))


def elsewhere(
    receptacles: Sequence[ReceptacleSeen],
    topology: Topology,
    names: Names,
    onboard_at: frozenset[PciAddress],
) -> tuple[list[PartSeen], list[PartSeen]]:
    """Soldered parts, and parts whose receptacle is not known."""
    claimed = frozenset(port.address for seen in receptacles for port in seen.ports)
    onboard: list[PartSeen] = []
    unplaced: list[PartSeen] = []
    for seen in topology.functions.values():
        if seen.is_virtual or seen.address in claimed or topology.above(seen.address):
            continue
        if seen.is_bridge:
            for part in parts_below(seen, topology, names, claimed):
                (onboard if _is_soldered(part, topology, onboard_at) else unplaced).append(part)
        else:
            home = onboard if _is_of_the_platform(seen, topology) else unplaced
            home.append(part_of([seen], names))
    return _devices_once(onboard), _devices_once(unplaced)


# Bridges, system peripherals, instrumentation: no card is one of these alone.
_PLATFORM_CLASSES = (0x06, 0x08, 0x13)


def _is_of_the_platform(seen: FunctionSeen, topology: Topology) -> bool:
    """
    Whether a function with no port above it is the processor's or the chipset's.

    A memory card of the first CXL kind answers as an integrated endpoint (CXL 1.1, from memory).
    """
    if seen.class_code == regs.CLASS_CXL:
        return False
    return topology.is_on_root_bus(seen) or (seen.class_code or 0) >> 8 in _PLATFORM_CLASSES


def _is_soldered(part: PartSeen, topology: Topology, onboard_at: frozenset[PciAddress]) -> bool:
    """
    Named as on-board, or below a port that says it has no slot.

    Drives sit in sockets more often than on boards, and ports of small boards never say "slot".
    """
    port = topology.functions.get(part.port) if part.port else None
    functions = _functions_of(part)
    if any(function.address in onboard_at for function in functions):
        return True
    drive = any(function.class_code == regs.CLASS_NVME for function in functions)
    return port is not None and port.slot_implemented is False and not drive


def _functions_of(part: PartSeen) -> list[FunctionSeen]:
    return [*part.functions, *(seen for inner in part.inside for seen in _functions_of(inner))]


def _devices_once(parts: list[PartSeen]) -> list[PartSeen]:
    """Functions of one device on a root bus are one part."""
    merged: dict[tuple[int, int, int], PartSeen] = {}
    for part in parts:
        address = part.top.address
        key = (address.domain, address.bus, address.device)
        known = merged.get(key)
        merged[key] = part if known is None else _together(known, part)
    return list(merged.values())


def _together(one: PartSeen, other: PartSeen) -> PartSeen:
    return replace(
        one,
        functions=one.functions + other.functions,
        inside=one.inside + other.inside,
        drives=one.drives + other.drives,
        names=one.names + other.names,
    )
