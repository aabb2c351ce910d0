"""What is soldered to the board, and so is no card: by name, by its port, by its shape."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from slotfit.read.machine import PartSeen
from slotfit.read.pci_tree import Topology
from slotfit.read.seen import FunctionSeen, OnboardSeen, PciAddress
from slotfit.read.ties import is_null
from slotfit.standards import pci_regs as regs


def onboard_addresses(named: Sequence[OnboardSeen], topology: Topology) -> frozenset[PciAddress]:
    """Functions that are soldered: the table or the firmware's labels name them, or their shape."""
    found = {seen.address for seen in named if seen.address and not is_null(seen.address)}
    functions = topology.functions
    found |= {one.address for one in functions.values() if one.label}
    found |= {one.address for one in functions.values() if manages(one, topology)}
    return frozenset(address for address in found | topology.chipset if address in functions)


def manages(seen: FunctionSeen, topology: Topology) -> bool:
    """
    Whether it has the shape of a management controller's graphics: one lane, or an older bus.

    Where its port says that it has a slot, it may be a small card.
    """
    port = topology.above(seen.address)
    if seen.class_code != regs.CLASS_VGA or port is None or port.slot_implemented:
        return False
    one_lane = seen.link is not None and seen.link.lanes_max == 1
    return one_lane or port.port_type in (regs.TO_PCI_BRIDGE, regs.CONVENTIONAL)


# Bridges, system peripherals, instrumentation: no card is one of these alone.
_PLATFORM_CLASSES = (0x06, 0x08, 0x13)


def is_of_the_platform(seen: FunctionSeen, topology: Topology) -> bool:
    """
    Whether a function with no port above it is the processor's or the chipset's.

    A memory card of the first CXL kind answers as an integrated endpoint (CXL 1.1, from memory).
    """
    if seen.class_code == regs.CLASS_CXL:
        return False
    return topology.is_on_root_bus(seen) or (seen.class_code or 0) >> 8 in _PLATFORM_CLASSES


def is_soldered(part: PartSeen, topology: Topology, onboard_at: frozenset[PciAddress]) -> bool:
    """
    Known as on-board, or below a port that says it has no slot.

    Drives sit in sockets more often than on boards, and ports of small boards never say "slot".
    """
    port = topology.functions.get(part.port) if part.port else None
    functions = [*_functions_of(part)]
    if any(function.address in onboard_at for function in functions):
        return True
    drive = any(function.class_code == regs.CLASS_NVME for function in functions)
    return port is not None and port.slot_implemented is False and not drive


def _functions_of(part: PartSeen) -> Iterable[FunctionSeen]:
    yield from part.functions
    for inner in part.inside:
        yield from _functions_of(inner)


_OFTEN_SOLDERED = (0x01, 0x02, 0x04, 0x0C)
"""Base classes of controllers that boards carry themselves: storage, network, sound, serial bus."""


def may_be_soldered(parts: Sequence[PartSeen]) -> bool:
    """Whether what sits below a port without a record has the shape of a board's own device."""
    return bool(parts) and all(
        part.kind == "endpoint" and _is_small(part.top) and _often_soldered(part.main)
        for part in parts
    )


def _is_small(seen: FunctionSeen) -> bool:
    return seen.link is None or (seen.link.lanes_max or 1) == 1


def _often_soldered(seen: FunctionSeen) -> bool:
    code = seen.class_code or 0
    often = code >> 8 in _OFTEN_SOLDERED or code == regs.CLASS_VGA
    return often and code != regs.CLASS_NVME
