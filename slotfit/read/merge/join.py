"""
Joins all readings of one machine into a `MachineSeen`.

Records say what the slots are called, the bus says what hangs where; the join is by address, by
number, by folder, by designation (`ties`). What could not be tied stays visible as unplaced.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields
from typing import Any

from slotfit.read.merge.addresses import is_null
from slotfit.read.merge.elsewhere import elsewhere, onboard_addresses, port_label, unnamed_ports
from slotfit.read.merge.functions import merged_functions
from slotfit.read.merge.machine import (
    Claim,
    Disagreement,
    Fact,
    MachineSeen,
    ReceptacleSeen,
)
from slotfit.read.merge.outside import inside_of
from slotfit.read.merge.parts import Names
from slotfit.read.merge.processors import Sockets, in_order
from slotfit.read.merge.receptacles import from_port, from_records, grouped
from slotfit.read.merge.ties import tie_records
from slotfit.read.merge.topology import Topology
from slotfit.read.seen import (
    FunctionSeen,
    Note,
    Reading,
    Where,
)

_TABLE_RANK = ("smbios table", "dmidecode text", "sysfs")
_MOST_SHOWN = 500


def join(readings: Sequence[Reading]) -> MachineSeen:
    """One machine from all that was said of it. Never raises; doubts become notes."""
    functions, disagreements, notes = merged_functions(readings)
    topology, out = inside_of(functions)
    said = _best_of(readings)
    names = Names(said.drives, said.port_names)
    sockets = Sockets(said.processors, said.slots, said.nodes)
    ties, tie_notes = tie_records(said.slots, topology, said.slot_dirs)
    claimed = frozenset(port.address for tie in ties for port in tie.ports)
    onboard_at = onboard_addresses(said.onboard, topology)
    folders = {(seen.domain, seen.bus): seen.name for seen in said.slot_dirs}
    table = bool(said.slots)
    receptacles = [
        *(from_records(group, topology, sockets, names, claimed) for group in grouped(ties)),
        *(
            from_port(port, topology, sockets, names, port_label(port, topology, folders))
            for port in unnamed_ports(topology, claimed, onboard_at, folders, table=table)
        ),
    ]
    onboard, unplaced = elsewhere(receptacles, topology, names, onboard_at)
    disagreements += [found for seen in receptacles for found in _disagreements_of(seen)]
    file = _file_of(readings)
    doubts = _doubts(receptacles) + _headers_only(functions.values(), file)
    doubts += _no_tree(topology, file)
    return MachineSeen(
        sources=tuple((reading.kind, reading.file) for reading in readings),
        boards=said.boards,
        chassis=said.chassis,
        processors=in_order(said.processors),
        power_supplies=said.power_supplies,
        nodes=said.nodes,
        functions=tuple(functions.values()),
        receptacles=tuple(receptacles),
        onboard=tuple(onboard),
        leading_out=out,
        onboard_named=said.onboard,
        unplaced=tuple(unplaced),
        disagreements=tuple(disagreements[:_MOST_SHOWN]),
        notes=_all_notes(readings, notes + tie_notes + doubts),
        slots_read=_slots_read(readings),
    )


def _best_of(readings: Sequence[Reading]) -> Reading:
    """Of each kind of thing, what the best-founded reading that has any says of it."""
    ranked = sorted(readings, key=_table_rank)
    found: dict[str, Any] = {
        spec.name: next(filter(None, (getattr(seen, spec.name) for seen in ranked)), ())
        for spec in fields(Reading)
        if spec.name not in ("kind", "file", "functions", "notes", "slots_read")
    }
    return Reading("joined", "", **found)


def _file_of(readings: Sequence[Reading]) -> str:
    """The source that shows functions."""
    return next((reading.file for reading in readings if reading.functions), "")


def _table_rank(reading: Reading) -> int:
    known = reading.kind in _TABLE_RANK
    return _TABLE_RANK.index(reading.kind) if known else len(_TABLE_RANK)


def _slots_read(readings: Sequence[Reading]) -> bool | None:
    said = [reading.slots_read for reading in readings if reading.slots_read is not None]
    return any(said) if said else None


def _disagreements_of(seen: ReceptacleSeen) -> list[Disagreement]:
    found = []
    for name, fact in (
        ("form", seen.forms),
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


def _headers_only(functions: Iterable[FunctionSeen], file: str) -> list[Note]:
    """Functions with a link of which no source shows the capability behind it."""
    hidden = sum(1 for seen in functions if seen.link and seen.port_type is None)
    if not hidden:
        return []
    text = f"{hidden} functions show only their header: slot numbers and port types need root"
    return [Note("not-read", text, Where(file))]


def _no_tree(topology: Topology, file: str) -> list[Note]:
    """A plain list says what there is, not what it hangs on."""
    adrift = sum(1 for seen in topology.functions.values() if seen.address.bus)
    if topology.bridges or adrift < 2:
        return []
    text = f"no bridge shows its buses: what the {adrift} functions below hang on needs `lspci -vv`"
    return [Note("not-read", text, Where(file))]


def _all_notes(readings: Sequence[Reading], more: list[Note]) -> tuple[Note, ...]:
    return tuple([note for reading in readings for note in reading.notes] + more)[:_MOST_SHOWN]
