"""Parts whose receptacle nothing names: a receptacle of their own, or none that is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from slotfit.read.merge.machine import MachineSeen, PartSeen, ReceptacleSeen
from slotfit.read.merge.parts import Names
from slotfit.read.merge.processors import Sockets
from slotfit.read.merge.receptacles import from_port
from slotfit.read.merge.topology import Topology
from slotfit.read.seen import PciAddress

Adrift = tuple[PartSeen, Sequence[str]]
"""A part without a home, and the receptacles it may sit in."""


def with_homes(seen: MachineSeen, topology: Topology) -> tuple[MachineSeen, list[Adrift]]:
    """
    The machine with a receptacle for each part whose port is known, and the parts without any.

    Where slots of the table could not be tied to a port, a part under a port that no record names
    may sit in one of them: then it gets no receptacle of its own.
    """
    untied = [
        one for one in seen.receptacles if one.records and not one.ports and one.occupied.value
    ]
    homes: list[ReceptacleSeen] = []
    adrift: list[Adrift] = []
    for one in (*seen.receptacles, *_ports_of(seen.unplaced, seen, topology)):
        perhaps = [] if one.records or not one.parts else _may_be(one, untied)
        if perhaps:
            adrift += [(part, perhaps) for part in one.parts]
        else:
            homes.append(one)
    known = {part.top.address for one in homes for part in one.parts}
    known |= {part.top.address for part, _ in adrift}
    everywhere = [one.label for one in untied]
    adrift += [(part, everywhere) for part in seen.unplaced if part.top.address not in known]
    return replace(seen, receptacles=tuple(homes)), adrift


def _ports_of(
    parts: Sequence[PartSeen], seen: MachineSeen, topology: Topology
) -> list[ReceptacleSeen]:
    """A receptacle for each port above the parts; a bus of the older kind is none."""
    found: dict[PciAddress, list[PartSeen]] = {}
    for part in parts:
        port = topology.functions.get(part.port) if part.port else None
        if port and topology.leads_down(port):
            found.setdefault(port.address, []).append(part)
    records = [record for one in seen.receptacles for record in one.records]
    sockets = Sockets(seen.processors, records, seen.nodes)
    return [
        replace(
            from_port(topology.functions[at], topology, sockets, Names((), ()), str(at)),
            parts=tuple(inside),
        )
        for at, inside in found.items()
    ]


def _may_be(one: ReceptacleSeen, untied: Sequence[ReceptacleSeen]) -> list[str]:
    """Slots of the table, in use by nobody knows what, that are as wide as the port or wider."""
    lanes = one.lanes.value or 1
    return [
        other.label for other in untied if other.lanes.value is None or other.lanes.value >= lanes
    ]
