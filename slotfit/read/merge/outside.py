"""
Ports that lead out of the case: a cable goes there, and what hangs on it is no part of the build.

Nothing in the registers says so; the names that the public list has for these ports do.
"""

from __future__ import annotations

import re

from slotfit.read.merge.topology import Topology
from slotfit.read.seen import FunctionSeen, PciAddress
from slotfit.standards import pci_regs as regs

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
