"""
The tree the functions form: which port is above a bus, what hangs below a port.

Bridges are known by their bus range, so a tree with hidden bridges still joins at the next one.
"""

from __future__ import annotations

from collections import defaultdict
from functools import cached_property

from slotfit.read.seen import FunctionSeen, PciAddress
from slotfit.standards import pci_regs as regs


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
