"""
What a slot record's `Bus Address` means on this machine.

The specification wants the endpoint in the slot. Firmware writes seven other things, so each record
is decided by looking at the functions that are there (counts: some 140,000 public tables).
"""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.read.merge.topology import Topology
from slotfit.read.seen import FunctionSeen, PciAddress
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
    if address.bus == _EMPTY_BUS:
        return _behind_empty_bus(address, topology)
    return _by_bus(address, topology)


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


def _behind_empty_bus(address: PciAddress, topology: Topology) -> Resolved:
    """`0000:ff:1c.5` names port 00:1c.5 of an empty slot; the port is often hidden."""
    port = topology.functions.get(PciAddress(address.domain, 0, *address.device_function))
    if port is not None and port.is_bridge:
        return Resolved(port, "port, with no bus below")
    return Resolved(None, "port that is hidden", sure=False)


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
