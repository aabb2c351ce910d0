"""
Which port belongs to which link of a divided slot, or to which socket behind a switch.

Ports follow the lanes of their slot in order (common practice, no source); a board may count from
the other end, so what only their order tells is a guess.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from slotfit.answers.place.answer import PlannedSeat
from slotfit.answers.verify.planned import MachinePlan
from slotfit.read.machine import PartSeen, ReceptacleSeen
from slotfit.read.pci_tree import Topology
from slotfit.read.seen import FunctionSeen, PciAddress

Places = Mapping[str, tuple[ReceptacleSeen, ...]]


@dataclass(frozen=True, slots=True)
class Lineup:
    """
    The sockets of one part in their order, each with the port that should lead to it.

    `whole`: there are as many ports as sockets, so that their order tells which is which.
    """

    holder: str
    sockets: tuple[str, ...]
    ports: Mapping[str, PciAddress] = field(default_factory=dict)
    whole: bool = False


def sockets_in_order(planned: MachinePlan, holder: PlannedSeat) -> tuple[str, ...]:
    """Sockets of a passive carrier by the lane at which each begins; one link a socket."""
    own = {one.id: one.site for one in planned.answer.plan.receptacles if one.owner == holder.item}
    starts = {
        own[name]: link.at
        for link in holder.links
        if link.bus == "pcie" and link.trains.lanes
        for name in link.to
        if name in own
    }
    if len(starts) < 2 or len(set(starts.values())) != len(starts):
        return ()
    return tuple(sorted(starts, key=lambda site: starts[site]))


def lineup_of(planned: MachinePlan, holder: PlannedSeat, places: Places) -> Lineup | None:
    """The order of a part's sockets; None if it has none to tell apart by lanes."""
    sockets = sockets_in_order(planned, holder)
    if not sockets:
        return None
    group = places.get(holder.site, ())
    ports = sorted((port for one in group for port in one.ports), key=lambda one: one.address)
    return Lineup(holder.item, sockets, *_assigned(sockets, ports))


def _assigned(
    sockets: Sequence[str], ports: Sequence[FunctionSeen]
) -> tuple[dict[str, PciAddress], bool]:
    """In order where all ports show; else by their distance from the first, for firmware hides."""
    if len(ports) == len(sockets):
        return {site: one.address for site, one in zip(sockets, ports, strict=True)}, True
    if not ports:
        return {}, False
    first = ports[0].address
    found = {}
    for port in ports:
        at = port.address
        if (at.domain, at.bus) != (first.domain, first.bus):
            continue
        same = at.device == first.device
        step = at.function - first.function if same else at.device - first.device
        if 0 <= step < len(sockets):
            found[sockets[step]] = at
    return found, False


def behind_switch(
    planned: MachinePlan, holder: PlannedSeat, switch: PartSeen, topology: Topology
) -> Lineup | None:
    """The sockets behind a part's own switch, in the plan's order, with its ports in theirs."""
    sockets = tuple(one.site for one in planned.answer.plan.receptacles if one.owner == holder.item)
    ports = [
        one.address
        for one in topology.all_below(switch.top)
        if topology.leads_down(one) and one in topology.below(switch.top)
    ]
    if len(sockets) != len(ports) or len(sockets) < 2:
        return None
    return Lineup(holder.item, sockets, dict(zip(sockets, ports, strict=True)), whole=True)
