"""Which receptacles share an isolation group, as far as the running system tells."""

from __future__ import annotations

from slotfit.describe.told import Places, Told
from slotfit.read.merge.machine import PartSeen, ReceptacleSeen
from slotfit.read.merge.topology import Topology
from slotfit.read.seen import FunctionSeen
from slotfit.standards.pci_regs import ACS_ISOLATING


def isolation_of(
    name: str, seen: ReceptacleSeen, topology: Topology, places: Places
) -> Told[str] | None:
    """
    The word for its group: that of what sits in it, else its port's if that must be shared.

    A port that keeps what is below it apart gives an empty receptacle a group of its own. None if
    the system has no groups.
    """
    for part in seen.parts:
        for function in every_function(part):
            if function.iommu_group is not None:
                basis = f"group of {function.address}, {places.at(function.where)}"
                return Told(f"group{function.iommu_group}", basis)
    port = seen.ports[0] if seen.ports else None
    if port is None or port.iommu_group is None:
        return None
    way_up = [port, *topology.chain(port.address)]
    if all(keeps_apart(step) for step in way_up):
        return Told(name, f"port {port.address} keeps apart what is below it")
    if any(step.acs_enabled is None and step.acs_capable is None for step in way_up):
        return None
    basis = f"group of port {port.address}, which does not keep apart what is below it"
    return Told(f"group{port.iommu_group}", basis)


def keeps_apart(port: FunctionSeen) -> bool:
    """Whether access control is on as Linux 6.12 asks (drivers/iommu/iommu.c, REQ_ACS_FLAGS)."""
    return port.acs_enabled is not None and frozenset(port.acs_enabled) >= ACS_ISOLATING


def every_function(part: PartSeen) -> list[FunctionSeen]:
    """Functions of a part and of what is in it, bridges last."""
    own = [*part.functions, *(seen for inner in part.inside for seen in every_function(inner))]
    return sorted(own, key=lambda seen: (bool(seen.is_bridge), seen.address))
