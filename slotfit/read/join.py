"""Builds the receptacles: those that a record names, and ports with a slot that no record names."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from slotfit.read import receptacles
from slotfit.read.designation import hints_of
from slotfit.read.doubts import disagreements_of, of_bus, of_table
from slotfit.read.machine import Claim, Fact, MachineSeen, PartSeen, ReceptacleSeen
from slotfit.read.pci_tree import Topology, inside_of, leads_out, merged_functions
from slotfit.read.processors import Sockets, in_order
from slotfit.read.receptacles import of_template, says_it_of_all
from slotfit.read.same_slot import combined, grouped
from slotfit.read.seen import (
    DriveSeen,
    FunctionSeen,
    PciAddress,
    PortNameSeen,
    Reading,
    SlotSeen,
    Where,
)
from slotfit.read.soldered import is_of_the_platform, is_soldered, onboard_addresses
from slotfit.read.ties import Tie, tie_records
from slotfit.standards import pci_regs as regs
from slotfit.standards.smbios import BIFURCATION_TRAIT


class DeviceNames:
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
    names: DeviceNames,
    claimed: frozenset[PciAddress] = frozenset(),
) -> tuple[PartSeen, ...]:
    """
    The parts below a port: none, one, or on a conventional bus one a device number.

    What hangs below a port in `claimed` belongs to another receptacle and is left out; a switch
    that leads there, or is a chipset, is the board's, so that what else it leads to are parts of
    their own.
    """
    leads_on = claimed and any(seen.address in claimed for seen in topology.all_below(port))
    if leads_on or topology.leads_through_chipset(port):
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
    port: FunctionSeen, topology: Topology, names: DeviceNames, claimed: frozenset[PciAddress]
) -> tuple[PartSeen, ...]:
    children = topology.below(port)
    direct = [seen for seen in children if not seen.is_bridge]
    parts = [part_of(direct, names, port.address)] if direct else []
    for child in children:
        if child.is_bridge and child.address not in claimed:
            parts += parts_below(child, topology, names, claimed)
    return tuple(parts)


def part_of(
    functions: Sequence[FunctionSeen], names: DeviceNames, port: PciAddress | None = None
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
    group: list[FunctionSeen], port: FunctionSeen, topology: Topology, names: DeviceNames
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
    names: DeviceNames,
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


@dataclass(frozen=True, slots=True)
class Evidence:
    """What all receptacles of a machine are worked out from."""

    topology: Topology
    sockets: Sockets
    names: DeviceNames
    claimed: frozenset[PciAddress] = frozenset()
    """The ports of all receptacles with records."""
    said_of_all: bool = False
    """The table calls every slot in use."""
    of_template: frozenset[Where] = frozenset()
    """Records with names of a reference design."""


def from_records(group: list[Tie], evidence: Evidence) -> ReceptacleSeen:
    """One receptacle from its records."""
    record = combined(group)
    template = record.where in evidence.of_template
    record = receptacles.without_figures(record) if template else record
    ports = list({port.address: port for tie in group for port in tie.ports}.values())
    seen = _receptacle(record, ports, evidence)
    claims = _usable(record, seen.processor.value, evidence.sockets, filled=bool(seen.parts))
    return replace(
        seen,
        records=tuple(tie.record for tie in group),
        joined_by=next((tie.by for tie in group if tie.by), None),
        of_template=template,
        usable=Fact(
            claims, "what is seen at work works" if len({c.value for c in claims}) > 1 else ""
        ),
    )


def from_ports(ports: list[FunctionSeen], evidence: Evidence, label: str) -> ReceptacleSeen:
    """A receptacle that only its ports show; its connector is not known."""
    return replace(_receptacle(SlotSeen(ports[0].where), ports, evidence), label=label)


def of_one_slot(ports: Sequence[FunctionSeen]) -> list[list[FunctionSeen]]:
    """Ports of one device that bear one slot number are one slot, divided; 0 is nobody's number."""
    groups: dict[object, list[FunctionSeen]] = {}
    for port in ports:
        at = port.address
        number = port.slot_number
        key = (at.domain, at.bus, at.device, number) if number else at
        groups.setdefault(key, []).append(port)
    return [*groups.values()]


def _receptacle(record: SlotSeen, ports: list[FunctionSeen], evidence: Evidence) -> ReceptacleSeen:
    hints = hints_of(record.designation)
    lanes = receptacles.wired_lanes(record, hints, ports)
    parts = _parts(ports, evidence)
    processor, node = evidence.sockets.of(hints, record, ports, evidence.topology)
    return ReceptacleSeen(
        label=record.designation or f"slot {record.slot_id}",
        records=(),
        ports=tuple(ports),
        joined_by=None,
        forms=receptacles.form(record, hints, lanes.value),
        lanes=lanes,
        shape_lanes=receptacles.shape_lanes(record, hints, lanes.value),
        generation=receptacles.generation(record, hints, ports),
        processor=processor,
        node=node,
        occupied=receptacles.occupied(
            record, ports, filled=bool(parts), said_of_all=evidence.said_of_all
        ),
        usable=Fact(),
        power_w=next((port.slot_power_w for port in ports if port.slot_power_w), None),
        divided=tuple(port.link.lanes_max if port.link else None for port in ports),
        splits=True if BIFURCATION_TRAIT in (record.traits or ()) else None,
        parts=parts,
    )


def _parts(ports: list[FunctionSeen], evidence: Evidence) -> tuple[PartSeen, ...]:
    """The parts in a receptacle; drives under several of its ports sit in a passive carrier."""
    others = evidence.claimed - {port.address for port in ports}
    parts = tuple(
        part
        for port in ports
        for part in parts_below(port, evidence.topology, evidence.names, others)
    )
    drives = all(part.main.class_code == regs.CLASS_NVME for part in parts)
    if len(ports) > 1 and len(parts) > 1 and drives:
        return (PartSeen("passive carrier", parts[0].top, (), ports[0].address, parts),)
    return parts


def _usable(
    record: SlotSeen, processor: int | None, sockets: Sockets, *, filled: bool
) -> tuple[Claim[bool], ...]:
    """Whether the receptacle works at all: its processor is there, or it is in use."""
    absent = sockets.is_absent(processor)
    claims = (
        Claim(value=True, basis="devices below the port", where=record.where) if filled else None,
        absent and Claim(value=False, basis="processor socket is empty", where=absent.where),
        Claim(value=False, basis="current usage", where=record.where)
        if record.usage == "unavailable"
        else None,
    )
    return tuple(claim for claim in claims if claim)


Folders = dict[tuple[int, int], str]
"""(domain, bus) -> the name of the slot folder the system has for it."""


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
        if topology.leads_through_chipset(port) or _is_bare(port, topology):
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


def _is_bare(port: FunctionSeen, topology: Topology) -> bool:
    """Whether it is a chipset's port with nothing below it: those say "slot" without having one."""
    above = topology.above(port.address)
    return above is not None and above.address in topology.chipset and not topology.below(port)


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
    names: DeviceNames,
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
                (onboard if is_soldered(part, topology, onboard_at) else unplaced).append(part)
        else:
            home = onboard if is_of_the_platform(seen, topology) else unplaced
            home.append(part_of([seen], names))
    return _devices_once(onboard), _devices_once(unplaced)


def _devices_once(parts: list[PartSeen]) -> list[PartSeen]:
    """Functions of one device on a root bus are one part."""
    merged: dict[tuple[int, int, int], PartSeen] = {}
    for part in parts:
        address = part.top.address
        key = (address.domain, address.bus, address.device)
        known = merged.get(key)
        merged[key] = part
        if known is not None:
            merged[key] = replace(
                known,
                functions=known.functions + part.functions,
                inside=known.inside + part.inside,
                drives=known.drives + part.drives,
                names=known.names + part.names,
            )
    return list(merged.values())


_TABLE_RANK = ("smbios table", "dmidecode text", "sysfs")
_MOST_SHOWN = 500


def receptacles_of(
    said: Reading, ties: Sequence[Tie], evidence: Evidence, onboard_at: frozenset[PciAddress]
) -> list[ReceptacleSeen]:
    """Those that records describe, then those that only ports show."""
    topology = evidence.topology
    claimed = frozenset(port.address for tie in ties for port in tie.ports)
    folders = {seen.bus: seen.name for seen in said.slot_dirs}
    unnamed = unnamed_ports(topology, claimed, onboard_at, folders, table=bool(said.slots))
    of_records = replace(evidence, claimed=claimed)
    return [
        *(from_records(group, of_records) for group in grouped(ties)),
        *(
            from_ports(ports, evidence, port_label(ports[0], topology, folders))
            for ports in of_one_slot(unnamed)
        ),
    ]


def join(readings: Sequence[Reading]) -> MachineSeen:
    """One machine from all that was said of it. Never raises; doubts become notes."""
    functions, disagreements, notes = merged_functions(readings)
    topology, out = inside_of(functions)
    said = _best_of(readings)
    names = DeviceNames(said.drives, said.port_names)
    ties, tie_notes = tie_records(said.slots, topology, said.slot_dirs)
    onboard_at = onboard_addresses(said.onboard, topology)
    evidence = Evidence(
        topology,
        Sockets(said.processors, said.slots, said.nodes),
        names,
        said_of_all=says_it_of_all(said.slots),
        of_template=of_template(said.slots),
    )
    receptacles = receptacles_of(said, ties, evidence, onboard_at)
    onboard, unplaced = elsewhere(receptacles, topology, names, onboard_at)
    disagreements += [found for seen in receptacles for found in disagreements_of(seen)]
    file = next((reading.file for reading in readings if reading.functions), "")
    doubts = [*of_table(receptacles), *of_bus(topology, functions.values(), file)]
    return MachineSeen(
        sources=tuple((reading.kind, reading.file) for reading in readings),
        processors=in_order(said.processors),
        functions=tuple(functions.values()),
        receptacles=tuple(receptacles),
        onboard=tuple(onboard),
        leading_out=out,
        onboard_named=said.onboard,
        unplaced=tuple(unplaced),
        disagreements=tuple(disagreements[:_MOST_SHOWN]),
        notes=(*said.notes, *notes, *tie_notes, *doubts)[:_MOST_SHOWN],
        **{name: getattr(said, name) for name in _AS_SAID},
    )


_AS_SAID = ("boards", "chassis", "power_supplies", "nodes", "slots_read", "kernel", "running_s")
"""What one reading says for all."""


def _best_of(readings: Sequence[Reading]) -> Reading:
    """Of each kind of thing, what the best-founded reading that has any says; all their notes."""
    rank = {kind: number for number, kind in enumerate(_TABLE_RANK)}
    ranked = sorted(readings, key=lambda reading: rank.get(reading.kind, len(rank)))
    found: dict[str, Any] = {
        spec.name: next(filter(None, (getattr(seen, spec.name) for seen in ranked)), ())
        for spec in fields(Reading)
        if spec.name not in ("kind", "file", "functions", "notes", "slots_read", "running_s")
    }
    slots_read = [one.slots_read for one in readings if one.slots_read is not None]
    return Reading(
        "joined",
        "",
        **found,
        notes=tuple(note for reading in readings for note in reading.notes),
        slots_read=any(slots_read) if slots_read else None,
        running_s=max((one.running_s for one in readings if one.running_s), default=None),
    )
