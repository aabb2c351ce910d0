"""Builds the receptacles: those that a record names, and ports with a slot that no record names."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from slotfit.read.merge import facts
from slotfit.read.merge.designation import hints_of
from slotfit.read.merge.machine import Claim, Fact, PartSeen, ReceptacleSeen
from slotfit.read.merge.parts import Names, parts_below
from slotfit.read.merge.processors import Sockets
from slotfit.read.merge.ties import Tie
from slotfit.read.merge.topology import Topology
from slotfit.read.seen import FunctionSeen, PciAddress, SlotSeen
from slotfit.standards import pci_regs as regs
from slotfit.standards.smbios import BIFURCATION_TRAIT

# The widest slot for cards: a sum above it counts the whole slot's record and its parts'.
_WIDEST = 16
_LETTERED = re.compile(r"(.*\d(?:_(?:FRONT|REAR|LEFT|RIGHT))?)_[A-D](?:/.*)?")


def grouped(ties: Sequence[Tie]) -> list[list[Tie]]:
    """
    Records that describe one receptacle, together.

    Same designation with the same number, or with ports on one device; or `..._A`, `..._B` of one
    stem. A repeated designation alone does not do: many boards call every slot the same.
    """
    groups: list[list[Tie]] = []
    for tie in ties:
        home = next((group for group in groups if _same(group[0], tie)), None)
        if home is None:
            groups.append([tie])
        else:
            home.append(tie)
    return [part for group in groups for part in _apart(group)]


def _apart(group: list[Tie]) -> list[list[Tie]]:
    """
    The group, or each record alone where they cannot be one slot's.

    Two slots of one name and number, x1 each, do not make one of x2: no such slot is sold.
    """
    names = {tie.record.designation for tie in group}
    places = {tie.record.address for tie in group}
    if len(group) == 1 or len(names) > 1 or len(places) == 1:
        return [group]
    total = sum(tie.record.lanes or 0 for tie in group)
    first = group[0].record
    shape = first.type_lanes or first.physical_lanes or facts.ROOM_FOR.get(first.form or "")
    fits = total <= shape if shape else total == 0 or total % 4 == 0
    return [group] if fits else [[tie] for tie in group]


def _same(one: Tie, other: Tie) -> bool:
    first, second = one.record.designation, other.record.designation
    if not first or not second:
        return False
    if first == second:
        if one.ports and other.ports:
            a, b = one.ports[0].address, other.ports[0].address
            return (a.domain, a.bus, a.device) == (b.domain, b.bus, b.device)
        return one.record.slot_id == other.record.slot_id and bool(one.record.slot_id)
    stems = [_LETTERED.fullmatch(name) for name in (first, second)]
    return bool(stems[0] and stems[1] and stems[0].group(1) == stems[1].group(1))


def from_records(
    group: list[Tie],
    topology: Topology,
    sockets: Sockets,
    names: Names,
    claimed: frozenset[PciAddress],
) -> ReceptacleSeen:
    """One receptacle from its records; `claimed` are the ports of all receptacles with records."""
    record = _combined(group)
    ports = list({port.address: port for tie in group for port in tie.ports}.values())
    hints = hints_of(record.designation)
    lanes = facts.wired_lanes(record, hints, ports)
    others = claimed - {port.address for port in ports}
    parts = _parts(ports, topology, names, others)
    processor, node = sockets.of(hints, record, ports, topology)
    return ReceptacleSeen(
        label=record.designation or f"slot {record.slot_id}",
        records=tuple(tie.record for tie in group),
        ports=tuple(ports),
        joined_by=next((tie.by for tie in group if tie.by), None),
        forms=facts.form(record, hints, lanes.value),
        lanes=lanes,
        shape_lanes=facts.shape_lanes(record, hints, lanes.value),
        generation=facts.generation(record, hints, ports),
        processor=processor,
        node=node,
        occupied=facts.occupied(record, ports, bool(parts)),
        usable=_usable(record, processor.value, sockets, bool(parts)),
        power_w=next((port.slot_power_w for port in ports if port.slot_power_w), None),
        divided=tuple(port.link.lanes_max if port.link else None for port in ports),
        splits=True if BIFURCATION_TRAIT in (record.traits or ()) else None,
        parts=parts,
    )


def _combined(group: list[Tie]) -> SlotSeen:
    """The first record; several narrow records of one slot add up to its width."""
    record = group[0].record
    if len(group) == 1:
        return record
    widths = [tie.record.lanes for tie in group]
    shape = record.type_lanes or record.physical_lanes
    known = [width for width in widths if width]
    total = sum(known)
    if len(known) == len(group) and total in regs.LEGAL_LANES and total <= (shape or _WIDEST):
        return replace(record, lanes=total)
    return record


def _parts(
    ports: list[FunctionSeen],
    topology: Topology,
    names: Names,
    others: frozenset[PciAddress],
) -> tuple[PartSeen, ...]:
    """The parts in a receptacle; drives under several of its ports sit in a passive carrier."""
    parts = tuple(part for port in ports for part in parts_below(port, topology, names, others))
    drives = all(part.main.class_code == regs.CLASS_NVME for part in parts)
    if len(ports) > 1 and len(parts) > 1 and drives:
        return (PartSeen("passive carrier", parts[0].top, (), ports[0].address, parts),)
    return parts


def _usable(record: SlotSeen, processor: int | None, sockets: Sockets, filled: bool) -> Fact[bool]:
    """Whether the receptacle works at all: its processor is there, or it is in use."""
    claims: list[Claim[bool]] = []
    if filled:
        claims.append(Claim(value=True, basis="devices below the port", where=record.where))
    absent = sockets.is_absent(processor)
    if absent is not None:
        claims.append(Claim(value=False, basis="processor socket is empty", where=absent.where))
    if record.usage == "unavailable":
        claims.append(Claim(value=False, basis="current usage", where=record.where))
    why = "what is seen at work works" if len({claim.value for claim in claims}) > 1 else ""
    return Fact(tuple(claims), why)


def from_port(
    port: FunctionSeen, topology: Topology, sockets: Sockets, names: Names, label: str
) -> ReceptacleSeen:
    """A receptacle that only its port shows; its connector is not known."""
    parts = _parts([port], topology, names, frozenset())
    processor, node = sockets.of(hints_of(None), None, [port], topology)
    link = port.link
    lanes = Fact(
        (Claim(link.lanes_max, "link capability of the port now", port.where),)
        if link and link.lanes_max
        else ()
    )
    generation = Fact(
        (Claim(link.generation_max, "link capability of the port", port.where),)
        if link and link.generation_max
        else ()
    )
    return ReceptacleSeen(
        label=label,
        records=(),
        ports=(port,),
        joined_by=None,
        forms=Fact(),
        lanes=lanes,
        shape_lanes=Fact(),
        generation=generation,
        processor=processor,
        node=node,
        occupied=facts.occupied(None, [port], bool(parts)),
        usable=Fact(),
        power_w=port.slot_power_w,
        divided=(link.lanes_max if link else None,),
        splits=None,
        parts=parts,
    )
