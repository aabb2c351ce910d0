"""On-board switches that several receptacles share, and where each receptacle's lanes come from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from slotfit.describe.processors import Processor
from slotfit.describe.slots import MOST_GENERATIONS, Slot
from slotfit.describe.told import Places, Told
from slotfit.read.merge.topology import Topology
from slotfit.read.seen import FunctionSeen, PciAddress
from slotfit.standards import pci_regs as regs


@dataclass(frozen=True, slots=True)
class HubTold:
    """A switch of the board with its link upwards."""

    id: str
    from_: str
    lanes: int
    generation: int
    basis: str


@dataclass(slots=True)
class Origins:
    """Hubs as they are met, and the origin of each slot by the slot's id."""

    hubs: dict[PciAddress, HubTold] = field(default_factory=dict)
    of: dict[str, Told[str]] = field(default_factory=dict)
    remarks: dict[str, str] = field(default_factory=dict)


def origins_of(
    slots: Sequence[Slot], sockets: Sequence[Processor], topology: Topology, places: Places
) -> Origins:
    """Where the lanes of every slot come from, as far as anything says."""
    found = Origins()
    for slot in slots:
        processor = _processor(slot, sockets, places)
        if processor is None:
            found.remarks[slot.id] = "from: nothing says which processor its lanes come from"
            continue
        above = _switches_above(slot, topology)
        hub = _hub(above, processor.value, topology, places, found) if above else None
        if hub:
            basis = f"its port lies below the switch at {above[0].address}"
            found.of[slot.id] = Told(hub.id, basis)
            continue
        if above:
            found.remarks[slot.id] = (
                f"below a switch at {above[0].address} whose link upwards is not known: what "
                "shares it is not counted"
            )
        found.of[slot.id] = processor
    return found


def _processor(slot: Slot, sockets: Sequence[Processor], places: Places) -> Told[str] | None:
    """The processor, if it is one of those there are."""
    told = places.told(slot.seen.processor)
    if told and told.value < len(sockets):
        return Told(sockets[told.value].id, told.basis)
    return Told(sockets[0].id, "the only processor") if len(sockets) == 1 else None


def _switches_above(slot: Slot, topology: Topology) -> list[FunctionSeen]:
    """Upstream ports between the slot's port and the processor, nearest first."""
    port = slot.seen.ports[0] if slot.seen.ports else None
    if port is None:
        return []
    return [
        step
        for step in topology.chain(port.address)
        if step.port_type == regs.UPSTREAM_PORT
        or (step.port_type is None and not topology.leads_down(step))
    ]


def _hub(
    above: list[FunctionSeen],
    processor: str,
    topology: Topology,
    places: Places,
    found: Origins,
) -> HubTold | None:
    """The hub of the nearest switch, with those above it; None if a link upwards is not known."""
    nearest = above[0]
    known = found.hubs.get(nearest.address)
    if known:
        return known
    upper = _hub(above[1:], processor, topology, places, found) if above[1:] else None
    link = _uplink(nearest, topology)
    if link is None or (above[1:] and upper is None):
        return None
    lanes, generation = link
    basis = f"link of the switch's upstream port {nearest.address}, {places.at(nearest.where)}"
    origin = upper.id if upper else processor
    hub = HubTold(f"hub{len(found.hubs) + 1}", origin, lanes, generation, basis)
    found.hubs[nearest.address] = hub
    return hub


def _uplink(switch: FunctionSeen, topology: Topology) -> tuple[int, int] | None:
    """Lanes and generation that both ends of a switch's link upwards can do; None if not known."""
    port = topology.above(switch.address)
    links = [seen.link for seen in (switch, port) if seen and seen.link]
    lanes = [link.lanes_max for link in links if link.lanes_max]
    generations = [link.generation_max for link in links if link.generation_max]
    if not lanes or not generations or min(lanes) not in regs.LEGAL_LANES:
        return None
    return min(lanes), min(*generations, MOST_GENERATIONS)
