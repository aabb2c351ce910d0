"""
The tree the functions form: which port is above a bus, what hangs below a port.

Bridges are known by their bus range, so a tree with hidden bridges still joins at the next one.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import fields, replace
from functools import cached_property
from typing import Any

from slotfit.read.machine import Claim, Disagreement
from slotfit.read.seen import FunctionSeen, LinkSeen, Note, PciAddress, Reading, Where
from slotfit.standards import pci_regs as regs

RANK = ("sysfs", "lspci hex", "lspci text", "lspci tree")
_FIELDS = tuple(
    spec.name for spec in fields(FunctionSeen) if spec.name not in ("where", "address", "link")
)
_LINK_FIELDS = tuple(spec.name for spec in fields(LinkSeen))
_FIXED = ("vendor_id", "device_id", "class_code", "port_type", "secondary_bus", "slot_number")
_FIXED_LINK = ("lanes_max", "generation_max")
_WORDS = {
    "vendor_id": "vendor number",
    "device_id": "device number",
    "class_code": "class",
    "port_type": "port type",
    "secondary_bus": "secondary bus",
    "slot_number": "slot number",
    "lanes_max": "widest link",
    "generation_max": "highest generation",
}


def merged_functions(
    readings: Sequence[Reading],
) -> tuple[dict[PciAddress, FunctionSeen], list[Disagreement], list[Note]]:
    """Functions by address in bus order, what sources disagree on, and notes."""
    ranked = sorted(
        (reading for reading in readings if reading.functions),
        key=lambda reading: RANK.index(reading.kind) if reading.kind in RANK else len(RANK),
    )
    found: dict[PciAddress, FunctionSeen] = {}
    basis: dict[PciAddress, str] = {}
    disagreements: list[Disagreement] = []
    shared = strange = 0
    for reading in ranked:
        for seen in reading.functions:
            known = found.get(seen.address)
            if known is None:
                found[seen.address], basis[seen.address] = seen, reading.kind
                continue
            clashes = _clashes(known, basis[seen.address], seen, reading.kind)
            shared += 1
            strange += any(clash.fact in ("vendor number", "device number") for clash in clashes)
            disagreements += clashes
            found[seen.address] = _filled(known, seen)
    notes = []
    # A few changed devices are a later look; many are another machine.
    if shared >= 4 and strange * 3 > shared:
        text = f"{strange} of {shared} shared addresses hold other devices: not the same machine?"
        notes.append(Note("odd", text, Where(ranked[-1].file)))
    return dict(sorted(found.items())), disagreements, notes


def _gaps(known: object, other: object, names: Iterable[str]) -> dict[str, Any]:
    """What only `other` says."""
    return {name: getattr(other, name) for name in names if getattr(known, name) is None}


def _filled(known: FunctionSeen, other: FunctionSeen) -> FunctionSeen:
    """`known` with what only `other` says."""
    link = known.link or other.link
    if known.link and other.link:
        link = replace(known.link, **_gaps(known.link, other.link, _LINK_FIELDS))
    return replace(known, link=link, **_gaps(known, other, _FIELDS))


def _clashes(
    known: FunctionSeen, known_basis: str, other: FunctionSeen, other_basis: str
) -> list[Disagreement]:
    pairs = [(name, getattr(known, name), getattr(other, name)) for name in _FIXED]
    if known.link and other.link:
        pairs += [
            (name, getattr(known.link, name), getattr(other.link, name)) for name in _FIXED_LINK
        ]
    return [
        Disagreement(
            str(known.address),
            _WORDS[name],
            Claim(mine, known_basis, known.where),
            (Claim(theirs, other_basis, other.where),),
            f"{known_basis} is nearer to the hardware than {other_basis}",
        )
        for name, mine, theirs in pairs
        if mine is not None and theirs is not None and mine != theirs
    ]


# Of volume management controllers (Linux 6.12 drivers/pci/controller/vmd.c).
_OF_CONTROLLERS = 0x10000


class Topology:
    """Look-ups over all functions of a machine, by address."""

    def __init__(self, functions: dict[PciAddress, FunctionSeen]) -> None:
        self.functions = functions

    @cached_property
    def domains(self) -> frozenset[int]:
        """Domains in which there is any function."""
        return frozenset(address.domain for address in self.functions)

    @cached_property
    def by_bus(self) -> dict[tuple[int, int], list[FunctionSeen]]:
        """(domain, bus) -> its functions."""
        found: dict[tuple[int, int], list[FunctionSeen]] = defaultdict(list)
        for seen in self.functions.values():
            found[seen.address.domain, seen.address.bus].append(seen)
        return found

    @cached_property
    def bridges(self) -> tuple[FunctionSeen, ...]:
        """
        Functions with a bus below them.

        Buses are numbered downwards, so a bus number that is not above the bridge's own is damage;
        without it there is no loop.
        """
        return tuple(
            seen
            for seen in self.functions.values()
            if seen.secondary_bus and seen.secondary_bus > seen.address.bus
        )

    @cached_property
    def by_secondary(self) -> dict[tuple[int, int], FunctionSeen]:
        """(domain, secondary bus) -> the bridge above it."""
        found: dict[tuple[int, int], FunctionSeen] = {}
        for seen in self.bridges:
            found.setdefault((seen.address.domain, seen.secondary_bus or 0), seen)
        return found

    def above(self, address: PciAddress) -> FunctionSeen | None:
        """The bridge nearest above; None on a root bus."""
        direct = self.by_secondary.get((address.domain, address.bus))
        if direct or (address.domain, address.bus) in self._root_buses:
            return direct
        around = [
            seen
            for seen in self.bridges
            if seen.address.domain == address.domain
            and (seen.secondary_bus or 0) <= address.bus <= (seen.subordinate_bus or 0)
            and seen.address.bus < address.bus
        ]
        return max(around, key=lambda seen: seen.secondary_bus or 0, default=None)

    @cached_property
    def _root_buses(self) -> frozenset[tuple[int, int]]:
        """Buses with a host bridge or a root port on them."""
        return frozenset(
            (seen.address.domain, seen.address.bus)
            for seen in self.functions.values()
            if seen.class_code == regs.CLASS_HOST_BRIDGE or seen.port_type == regs.ROOT_PORT
        )

    @cached_property
    def chipset(self) -> frozenset[PciAddress]:
        """
        Functions of chipsets that answer as a packet switch: one device with controllers beside it.

        No switch of a card has a USB or SATA controller as a further function of its upstream port
        (common practice, no source).
        """
        by_device: dict[tuple[int, int, int], list[FunctionSeen]] = defaultdict(list)
        for seen in self.functions.values():
            if not seen.is_virtual:
                address = seen.address
                by_device[address.domain, address.bus, address.device].append(seen)
        return frozenset(
            seen.address
            for device in by_device.values()
            if any(one.port_type == regs.UPSTREAM_PORT for one in device)
            and any(one.class_code in (regs.CLASS_USB, regs.CLASS_SATA) for one in device)
            for seen in device
        )

    def leads_through_chipset(self, port: FunctionSeen) -> bool:
        """Whether what is below a port hangs on a chipset, or the port is one."""
        below = (seen.address for seen in self.below(port))
        return port.address in self.chipset or any(one in self.chipset for one in below)

    @cached_property
    def root_buses(self) -> frozenset[tuple[int, int]]:
        """
        Buses from which ports lead down with nothing above them.

        Not those of a controller for volumes, which hide a bus of their own (domains from 10000h).
        """
        return frozenset(
            (seen.address.domain, seen.address.bus)
            for seen in self.bridges
            if seen.address.domain < _OF_CONTROLLERS and self.above(seen.address) is None
        )

    def is_on_root_bus(self, seen: FunctionSeen) -> bool:
        """
        Whether nothing but the processor or chipset is above it.

        A text of one pasted device, or a list without any bridge's buses, shows no port above
        either; that does not make a device soldered.
        """
        address = seen.address
        if seen.port_type in (regs.INTEGRATED_ENDPOINT, regs.EVENT_COLLECTOR) or address.bus == 0:
            return True
        if (address.domain, address.bus) in self._root_buses:
            return True
        return seen.port_type is None and bool(self.bridges)

    def chain(self, address: PciAddress) -> list[FunctionSeen]:
        """Bridges from the nearest above up to the root."""
        found: list[FunctionSeen] = []
        step = self.above(address)
        while step is not None and step not in found:
            found.append(step)
            step = self.above(step.address)
        return found

    @cached_property
    def _children(self) -> dict[PciAddress, list[FunctionSeen]]:
        found: dict[PciAddress, list[FunctionSeen]] = defaultdict(list)
        for seen in self.functions.values():
            port = self.above(seen.address)
            if port:
                found[port.address].append(seen)
        return found

    def below(self, port: FunctionSeen) -> list[FunctionSeen]:
        """Functions right below a bridge, without virtual ones."""
        return [seen for seen in self._children.get(port.address, ()) if not seen.is_virtual]

    def all_below(self, port: FunctionSeen) -> list[FunctionSeen]:
        """Functions anywhere below a bridge, in bus order."""
        found: list[FunctionSeen] = []
        todo = [port]
        visited = set()
        while todo:
            bridge = todo.pop()
            if bridge.address in visited:
                continue
            visited.add(bridge.address)
            children = self.below(bridge)
            found += children
            todo += [child for child in children if child.secondary_bus]
        return sorted(set(found), key=lambda seen: seen.address)

    def leads_down(self, seen: FunctionSeen) -> bool:
        """
        Whether a receptacle or a device may hang right below this function.

        Where rights hid the port type: a bridge on a root bus is a root port, and a bridge below
        another alternates between the upstream and the downstream side of a switch.
        """
        if seen.port_type is not None:
            return seen.port_type in regs.PORTS_LEADING_DOWN
        if not seen.secondary_bus:
            return False
        bridges = [step for step in self.chain(seen.address) if step.port_type is None]
        return len(bridges) % 2 == 0


_NAMED = re.compile(r"thunderbolt|usb ?4", re.IGNORECASE)
# The controller's own host interface and USB controller answer below its ports too.
_ITS_OWN = (regs.CLASS_SYSTEM_PERIPHERAL, regs.CLASS_USB)

LeadingOut = tuple[tuple[FunctionSeen, tuple[FunctionSeen, ...]], ...]
"""Ports, each with the functions below it that are outside."""


def leads_out(port: FunctionSeen, topology: Topology) -> bool:
    """Whether a cable may be plugged into this port of the case: named so, and not fixed."""
    named = bool(port.name and _NAMED.search(port.name))
    return named and port.hot_plug is not False and topology.leads_down(port)


def inside_of(functions: dict[PciAddress, FunctionSeen]) -> tuple[Topology, LeadingOut]:
    """What is inside the case, and the ports that lead out of it."""
    whole = Topology(functions)
    found = leading_out(whole)
    outside = {seen.address for _, below in found for seen in below}
    if not outside:
        return whole, found
    return Topology({at: one for at, one in functions.items() if at not in outside}), found


def leading_out(topology: Topology) -> LeadingOut:
    """Every such port, with what is outside; of two above each other the upper."""
    found = []
    covered: set[FunctionSeen] = set()
    for port in topology.functions.values():
        if port in covered or not leads_out(port, topology):
            continue
        below = topology.all_below(port)
        own = [seen for seen in topology.below(port) if _is_own(port, seen)]
        outside = tuple(seen for seen in below if seen not in own)
        covered |= set(below)
        if outside or not own:
            found.append((port, outside))
    return tuple(found)


def _is_own(port: FunctionSeen, seen: FunctionSeen) -> bool:
    """Without rights nothing tells which of a controller's ports are fixed."""
    return port.hot_plug is None and seen.class_code in _ITS_OWN
