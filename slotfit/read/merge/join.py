"""
Joins all readings of one machine into a `MachineSeen`.

Records say what the slots are called, the bus says what hangs where; the join is by address, by
number, by folder, by designation (`ties`). What could not be tied stays visible as unplaced.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, TypeVar

from slotfit.read.merge.addresses import is_null
from slotfit.read.merge.functions import merged_functions
from slotfit.read.merge.machine import (
    Claim,
    Disagreement,
    Fact,
    MachineSeen,
    PartSeen,
    ReceptacleSeen,
)
from slotfit.read.merge.parts import Names, part_of, parts_below
from slotfit.read.merge.processors import Sockets
from slotfit.read.merge.receptacles import from_port, from_records, grouped
from slotfit.read.merge.ties import tie_records
from slotfit.read.merge.topology import Topology
from slotfit.read.seen import (
    FunctionSeen,
    Note,
    OnboardSeen,
    PciAddress,
    Reading,
    Where,
)

T = TypeVar("T")
_TABLE_RANK = ("smbios table", "dmidecode text", "sysfs")
_MOST_SHOWN = 500


def join(readings: Sequence[Reading]) -> MachineSeen:
    """One machine from all that was said of it. Never raises; doubts become notes."""
    functions, disagreements, notes = merged_functions(readings)
    topology = Topology(functions)
    ranked = sorted(readings, key=_table_rank)
    table = next((reading for reading in ranked if reading.slots), None)
    records = table.slots if table else ()
    processors = _of_best(ranked, lambda reading: reading.processors)
    nodes = _of_best(ranked, lambda reading: reading.nodes)
    names = Names(
        _of_best(readings, lambda reading: reading.drives),
        _of_best(readings, lambda reading: reading.port_names),
    )
    sockets = Sockets(processors, records, nodes)
    slot_dirs = _of_best(readings, lambda reading: reading.slot_dirs)
    ties, tie_notes = tie_records(records, topology, slot_dirs)
    receptacles = [from_records(group, topology, sockets, names) for group in grouped(ties)]
    named = _of_best(ranked, lambda reading: reading.onboard)
    onboard_at = _onboard_addresses(named, functions)
    folders = {(seen.domain, seen.bus): seen.name for seen in slot_dirs}
    receptacles += _unnamed(receptacles, topology, sockets, names, onboard_at, folders)
    onboard, unplaced = _elsewhere(receptacles, topology, names, onboard_at)
    disagreements += [found for seen in receptacles for found in _disagreements_of(seen)]
    return MachineSeen(
        sources=tuple((reading.kind, reading.file) for reading in readings),
        boards=_of_best(ranked, lambda reading: reading.boards),
        chassis=_of_best(ranked, lambda reading: reading.chassis),
        processors=processors,
        power_supplies=_of_best(ranked, lambda reading: reading.power_supplies),
        nodes=nodes,
        functions=tuple(functions.values()),
        receptacles=tuple(receptacles),
        onboard=tuple(onboard),
        onboard_named=named,
        unplaced=tuple(unplaced),
        disagreements=tuple(disagreements[:_MOST_SHOWN]),
        notes=_all_notes(readings, notes + tie_notes + _doubts(receptacles)),
        slots_read=_slots_read(readings),
    )


def _table_rank(reading: Reading) -> int:
    known = reading.kind in _TABLE_RANK
    return _TABLE_RANK.index(reading.kind) if known else len(_TABLE_RANK)


def _of_best(readings: Sequence[Reading], get: Callable[[Reading], tuple[T, ...]]) -> tuple[T, ...]:
    """What the first reading that has any says."""
    return next((get(reading) for reading in readings if get(reading)), ())


def _slots_read(readings: Sequence[Reading]) -> bool | None:
    said = [reading.slots_read for reading in readings if reading.slots_read is not None]
    return any(said) if said else None


def _onboard_addresses(
    named: Sequence[OnboardSeen], functions: dict[PciAddress, FunctionSeen]
) -> set[PciAddress]:
    """Functions that the table or the firmware's labels call soldered."""
    found = {seen.address for seen in named if seen.address and not is_null(seen.address)}
    found |= {seen.address for seen in functions.values() if seen.label}
    return {address for address in found if address in functions}


def _unnamed(
    receptacles: list[ReceptacleSeen],
    topology: Topology,
    sockets: Sockets,
    names: Names,
    onboard_at: set[PciAddress],
    folders: dict[tuple[int, int], str],
) -> list[ReceptacleSeen]:
    """Ports with a slot that no record claims."""
    claimed = {port.address for seen in receptacles for port in seen.ports}
    inside = {
        function.address
        for seen in receptacles
        for port in seen.ports
        for function in topology.all_below(port)
    }
    return [
        from_port(port, topology, sockets, names, _port_label(port, topology, folders))
        for port in topology.functions.values()
        if _has_slot(port, topology, folders)
        and port.address not in claimed | inside
        and topology.leads_down(port)
        and not any(seen.address in onboard_at for seen in topology.below(port))
        and not _above_another_slot(port, topology, claimed)
    ]


def _has_slot(port: FunctionSeen, topology: Topology, folders: dict[tuple[int, int], str]) -> bool:
    """The port's own flag, a slot folder of the system, or a device below that names its slot."""
    if port.slot_implemented is not None:
        return port.slot_implemented
    if (port.address.domain, port.secondary_bus or 0) in folders:
        return True
    return any(seen.physical_slot for seen in topology.below(port))


def _port_label(port: FunctionSeen, topology: Topology, folders: dict[tuple[int, int], str]) -> str:
    """The system's name of the slot, from its folder or from what sits in it; else the address."""
    named = folders.get((port.address.domain, port.secondary_bus or 0))
    inside = (seen.physical_slot for seen in (port, *topology.below(port)) if seen.physical_slot)
    return named or next(inside, str(port.address))


def _above_another_slot(port: FunctionSeen, topology: Topology, claimed: set[PciAddress]) -> bool:
    """A port whose switch leads to claimed slots is the board's, not a receptacle."""
    return any(seen.address in claimed for seen in topology.all_below(port))


def _elsewhere(
    receptacles: list[ReceptacleSeen],
    topology: Topology,
    names: Names,
    onboard_at: set[PciAddress],
) -> tuple[list[PartSeen], list[PartSeen]]:
    """Soldered parts, and parts whose receptacle is not known."""
    placed = {
        function.address
        for seen in receptacles
        for port in seen.ports
        for function in (port, *topology.all_below(port))
    }
    onboard: list[PartSeen] = []
    unplaced: list[PartSeen] = []
    for seen in topology.functions.values():
        if seen.address in placed or seen.is_virtual:
            continue
        above = topology.above(seen.address)
        if above is None and not seen.secondary_bus and not seen.is_bridge:
            home = onboard if topology.is_on_root_bus(seen) else unplaced
            home.append(part_of([seen], names))
        elif above is None and topology.leads_down(seen):
            for part in parts_below(seen, topology, names):
                soldered = _is_soldered(part, seen, onboard_at)
                held = [function for function in _functions_of(part) if function.address in placed]
                if not held:
                    (onboard if soldered else unplaced).append(part)
    return _devices_once(onboard), _devices_once(unplaced)


def _is_soldered(part: PartSeen, port: FunctionSeen, onboard_at: set[PciAddress]) -> bool:
    """Named as on-board, or below a port that says it has no slot."""
    named = any(function.address in onboard_at for function in _functions_of(part))
    return named or port.slot_implemented is False


def _functions_of(part: PartSeen) -> list[FunctionSeen]:
    return [*part.functions, *(seen for inner in part.inside for seen in _functions_of(inner))]


def _devices_once(parts: list[PartSeen]) -> list[PartSeen]:
    """Functions of one device on a root bus are one part."""
    merged: dict[tuple[int, int, int], PartSeen] = {}
    for part in parts:
        address = part.top.address
        key = (address.domain, address.bus, address.device)
        known = merged.get(key)
        merged[key] = (
            part
            if known is None
            else replace(
                known,
                functions=known.functions + part.functions,
                drives=known.drives + part.drives,
                names=known.names + part.names,
            )
        )
    return list(merged.values())


def _disagreements_of(seen: ReceptacleSeen) -> list[Disagreement]:
    found = []
    for name, fact in (
        ("wired lanes", seen.lanes),
        ("connector size in lanes", seen.shape_lanes),
        ("generation", seen.generation),
        ("processor", seen.processor),
        ("part present", seen.occupied),
        ("usable", seen.usable),
    ):
        said = _disagreement(seen.label, name, fact)
        if said:
            found.append(said)
    return found


def _disagreement(label: str, name: str, fact: Fact[Any]) -> Disagreement | None:
    if not fact.against:
        return None
    chosen: Claim[object] = fact.claims[0]
    others: tuple[Claim[object], ...] = fact.against
    return Disagreement(label, name, chosen, others, fact.why)


def _doubts(receptacles: list[ReceptacleSeen]) -> list[Note]:
    """What makes a whole table doubtful: every slot in use, not one address that leads anywhere."""
    records = [record for seen in receptacles for record in seen.records]
    if len(records) < 3:
        return []
    used = sum(record.usage == "in use" for record in records)
    nowhere = sum(is_null(record.address) for record in records)
    notes = []
    where = Where(records[0].where.file)
    if used == len(records):
        notes.append(Note("odd", f"all {used} slots say that they are in use", where))
    if nowhere == len(records):
        notes.append(
            Note("odd", "no slot record has an address: usage and parts are not tied", where)
        )
    odd = [r for r in records if r.form == "cem" and r.width_bits]
    if odd:
        text = f"{len(odd)} PCI Express slots have a width in bits, which they cannot have"
        notes.append(Note("odd", text, where))
    return notes


def _all_notes(readings: Sequence[Reading], more: list[Note]) -> tuple[Note, ...]:
    return tuple([note for reading in readings for note in reading.notes] + more)[:_MOST_SHOWN]
