"""
Ties slot records to ports: by address, by the port's slot number, by slot folder, by designation.

One record may describe one of several ports of a receptacle, and several records one receptacle;
what two records claim at once goes to the one that more evidence supports.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from slotfit.read.designation import hints_of
from slotfit.read.pci_tree import Topology
from slotfit.read.seen import (
    FunctionSeen,
    Note,
    PciAddress,
    SlotDirSeen,
    SlotSeen,
    whole_number,
)
from slotfit.standards import pci_regs as regs

_EMPTY_BUS = 0xFF
_LAST_DEVICE = (0x1F, 7)


@dataclass(frozen=True, slots=True)
class Resolved:
    """
    The port an address leads to.

    `meaning` is the form that was recognised; `sure` is False where the address only fits after
    some repair, so that a slot number is believed before it.
    """

    port: FunctionSeen | None
    meaning: str
    sure: bool = True


NOTHING = Resolved(None, "no address", sure=False)


def is_null(address: PciAddress | None) -> bool:
    """
    Whether this is one of the addresses that mean "none".

    `0000:00:00.0` and `ff:00.0` do exist as devices on real machines, so that finding them there
    proves nothing.
    """
    if address is None:
        return True
    last = address.device_function == _LAST_DEVICE
    if address.device_function == (0, 0) and address.bus in (0, _EMPTY_BUS):
        return True
    return last and (address.bus in (0, _EMPTY_BUS) or address.domain in (0xFF, 0xFFFF))


def resolve(address: PciAddress | None, topology: Topology) -> Resolved:
    """The port behind an address; `NOTHING` if it is none or leads nowhere here."""
    if address is None or is_null(address):
        return NOTHING
    here = topology.functions.get(address)
    if here is not None:
        return _existing(here, topology)
    if address.domain not in topology.domains:
        shifted = PciAddress(0, address.domain & 0xFF, address.bus & 0x1F, address.function)
        moved = topology.functions.get(shifted)
        if address.domain <= 0xFF and address.bus <= 0x1F and moved is not None:
            found = _existing(moved, topology)
            return Resolved(found.port, "bus in the segment field", found.sure)
        return NOTHING
    if address.bus != _EMPTY_BUS:
        return _by_bus(address, topology)
    # `0000:ff:1c.5` names port 00:1c.5 of an empty slot; the port is often hidden.
    port = topology.functions.get(PciAddress(address.domain, 0, *address.device_function))
    if port is not None and port.is_bridge:
        return Resolved(port, "port, with no bus below")
    return Resolved(None, "port that is hidden", sure=False)


def _existing(here: FunctionSeen, topology: Topology) -> Resolved:
    """The address is that of a function."""
    if here.class_code == regs.CLASS_HOST_BRIDGE and not here.secondary_bus:
        return Resolved(None, "host bridge", sure=False)
    if here.secondary_bus and topology.leads_down(here):
        return Resolved(here, "port")
    above = topology.above(here.address)
    if above is None:
        meaning = "port without a bus below" if here.is_bridge else "device on a root bus"
        return Resolved(here if here.is_bridge else None, meaning, sure=bool(here.is_bridge))
    return Resolved(above, "endpoint")


def _by_bus(address: PciAddress, topology: Topology) -> Resolved:
    """No such function; its bus may still say which port is meant."""
    port = topology.by_secondary.get((address.domain, address.bus))
    if port is None:
        return NOTHING
    if port.address.device_function == address.device_function:
        return Resolved(port, "secondary bus with the port's device and function")
    if topology.below(port):
        return Resolved(port, "endpoint, with a wrong function")
    return Resolved(port, "bus below the port", sure=False)


@dataclass(slots=True)
class Tie:
    """A record with the ports it leads to, and by what."""

    record: SlotSeen
    address: Resolved
    ports: list[FunctionSeen] = field(default_factory=list)
    by: str | None = None


def tie_records(
    records: Sequence[SlotSeen], topology: Topology, folders: Sequence[SlotDirSeen]
) -> tuple[list[Tie], list[Note]]:
    """Every record with its ports, in the records' order."""
    ties = [Tie(record, resolve(record.address, topology)) for record in records]
    numbered = _ports_by_number(topology, folders)
    ids = Counter(record.slot_id for record in records)
    trusted, proven = _numbers_agree(ties, numbered, ids)
    notes: list[Note] = []
    for tie in ties:
        _decide(tie, numbered, ids, trusted, notes)
        is_filled = any(topology.below(port) for port in tie.ports)
        by_number = tie.by in _BY_NUMBER and not proven
        if by_number and is_filled and tie.record.usage == "available":
            text = (
                f"{tie.record.designation or 'a slot'}: port {tie.ports[0].address} has its number "
                f"{tie.record.slot_id} and is filled, and the table calls it available: not tied"
            )
            notes.append(Note("odd", text, tie.record.where))
            tie.ports, tie.by = [], None
    _by_designation(ties, numbered)
    _settle_rivals(ties, notes)
    for tie in ties:
        _add_peers(tie, topology)
    claimed = {port.address for tie in ties for port in tie.ports}
    for tie in ties:
        _add_divided(tie, topology, claimed)
    return ties, notes


_BY_NUMBER = ("slot number", "slot folder")
_ENOUGH_VOTES = 2
Numbered = dict[int, tuple[FunctionSeen, str]]


def _ports_by_number(topology: Topology, folders: Sequence[SlotDirSeen]) -> Numbered:
    """Slot number -> port, only where exactly one port has it; 0 is a number nobody set."""
    found: dict[int, dict[PciAddress, tuple[FunctionSeen, str]]] = defaultdict(dict)
    for seen in topology.functions.values():
        if seen.slot_implemented and seen.slot_number:
            found[seen.slot_number][seen.address] = (seen, "slot number")
        elif (number := whole_number(seen.physical_slot)) is not None:
            port = seen if topology.leads_down(seen) else topology.above(seen.address)
            if port:
                found[number].setdefault(port.address, (port, "slot folder"))
    for folder in folders:
        port = topology.by_secondary.get(folder.bus)
        number = whole_number(folder.name)
        if port and number is not None:
            found[number].setdefault(port.address, (port, "slot folder"))
    return {
        number: next(iter(ports.values()))
        for number, ports in found.items()
        if number and len(ports) == 1
    }


def _numbers_agree(
    ties: list[Tie], numbered: Numbered, ids: Counter[int | None]
) -> tuple[bool, bool]:
    """
    Whether record numbers may be these ports' numbers, and whether that is shown: addresses vote.

    A chipset numbers its ports from 0 or 1 for itself, so that one agreement may be chance.
    """
    same = other = 0
    for tie in ties:
        entry = _numbered_port(tie.record, numbered, ids)
        if entry and tie.address.port and tie.address.sure:
            same += entry[0].address == tie.address.port.address
            other += entry[0].address != tie.address.port.address
    return same >= other, same >= _ENOUGH_VOTES


def _numbered_port(
    record: SlotSeen, numbered: Numbered, ids: Counter[int | None]
) -> tuple[FunctionSeen, str] | None:
    if not record.slot_id or ids[record.slot_id] != 1:
        return None
    return numbered.get(record.slot_id)


def _decide(
    tie: Tie,
    numbered: Numbered,
    ids: Counter[int | None],
    trusted: bool,
    notes: list[Note],
) -> None:
    """Address first, unless a trusted number points elsewhere or the address is a repair."""
    entry = _numbered_port(tie.record, numbered, ids) if trusted else None
    port = tie.address.port
    if port and entry and port.address != entry[0].address:
        text = (
            f"{tie.record.designation or 'a slot'}: its address leads to port {port.address}, its "
            f"number {tie.record.slot_id} to port {entry[0].address}; the port's number is believed"
        )
        notes.append(Note("odd", text, tie.record.where))
        tie.ports, tie.by = [entry[0]], entry[1]
    elif port:
        tie.ports, tie.by = [port], "address"
    elif entry:
        tie.ports, tie.by = [entry[0]], entry[1]


def _by_designation(ties: list[Tie], numbered: Numbered) -> None:
    """A number in the designation, for records nothing else placed, on ports nobody has."""
    taken = {port.address for tie in ties for port in tie.ports}
    numbers = Counter(hints_of(tie.record.designation).number for tie in ties)
    for tie in ties:
        number = hints_of(tie.record.designation).number
        if tie.ports or not number or numbers[number] != 1 or number not in numbered:
            continue
        port = numbered[number][0]
        if port.address not in taken and not is_null(port.address):
            tie.ports, tie.by = [port], "designation"


def _settle_rivals(ties: list[Tie], notes: list[Note]) -> None:
    """
    One port, several records: the better supported keeps it.

    Records of one designation describe one receptacle and share. Two slots below one switch may
    both name the port above it: then neither can be told from the other, and both lose it.
    """
    rivals: dict[PciAddress, list[Tie]] = defaultdict(list)
    for tie in ties:
        for port in tie.ports:
            rivals[port.address].append(tie)
    for address, group in rivals.items():
        names = {tie.record.designation for tie in group}
        if len(group) < 2 or len(names) < 2:
            continue
        best = max(_support(tie) for tie in group)
        winners = [tie for tie in group if _support(tie) == best]
        for tie in group:
            if tie is not winners[0] or len(winners) > 1:
                tie.ports, tie.by = [], None
        kept = winners[0].record.designation if len(winners) == 1 else "none of them"
        listed = ", ".join(sorted(str(name) for name in names))
        text = f"slots {listed} all point to port {address}; {kept} is taken to have it"
        notes.append(Note("odd", text, group[0].record.where))


def _support(tie: Tie) -> int:
    """
    How much speaks for a tie: its number, its address, its usage, the port's width.

    A sure address counts as much as a number where the record has no number to go by.
    """
    port, record = tie.ports[0], tie.record
    points = 4 if port.slot_number and port.slot_number == record.slot_id else 0
    if tie.by == "address" and tie.address.sure and not record.slot_id:
        points += 4
    points += 2 if record.usage == "in use" else 0
    wide = port.link.lanes_max if port.link else None
    points += 1 if wide and wide == record.lanes else 0
    return points


def _add_peers(tie: Tie, topology: Topology) -> None:
    """The other ports of a divided slot, which a record lists as peers."""
    for peer in tie.record.peers or ():
        found = resolve(peer.address, topology).port
        if not tie.ports or found is None or found in tie.ports:
            continue
        home = tie.ports[0].address
        beside = (found.address.domain, found.address.bus) == (home.domain, home.bus)
        if beside and found.port_type in (None, regs.ROOT_PORT, regs.DOWNSTREAM_PORT):
            tie.ports.append(found)


def _add_divided(tie: Tie, topology: Topology, claimed: set[PciAddress]) -> None:
    """
    The neighbouring ports that a passive carrier uses with this one.

    Taken only on strong evidence: the record is wider than its port, the ports that follow on the
    same root bus are nobody's, together they are exactly as wide as the record, and drives hang on
    this one and on at least one of them.
    """
    width = tie.record.lanes
    if len(tie.ports) != 1 or not width or not _has_drive(tie.ports[0], topology):
        return
    group, total = [tie.ports[0]], _lanes(tie.ports[0])
    for port in _following(tie.ports[0], topology):
        if total >= width or port.address in claimed or not _lanes(port):
            break
        if topology.below(port) and not _has_drive(port, topology):
            break
        group.append(port)
        total += _lanes(port)
    drives = sum(_has_drive(port, topology) for port in group)
    if total == width and len(group) > 1 and drives > 1:
        tie.ports = group
        claimed.update(port.address for port in group)


def _following(port: FunctionSeen, topology: Topology) -> list[FunctionSeen]:
    """Ports after this one on its bus: on bus 0 of the same device, elsewhere of the next too."""
    address = port.address
    return [
        seen
        for seen in topology.by_bus[address.domain, address.bus]
        if seen.address > address
        and topology.leads_down(seen)
        and (seen.address.device == address.device or address.bus != 0)
    ]


def _lanes(port: FunctionSeen) -> int:
    return (port.link.lanes_max or 0) if port.link else 0


def _has_drive(port: FunctionSeen, topology: Topology) -> bool:
    return any(seen.class_code == regs.CLASS_NVME for seen in topology.below(port))
