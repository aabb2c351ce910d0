"""
How a part's links train on an offer.

Sources: PCI Express Base, link initialisation, as quoted: both ends settle on the smaller width and
the lower rate. That a link starts at the first lane of a segment follows from what a segment is:
the lanes of one port. SAS and SATA lanes are ports of their own, from memory: a link may start at
any of them, and neighbouring SAS lanes to one partner join to a wide port.
"""

from __future__ import annotations

from typing import Literal

from slotfit.model.board import Arrangement, LaneGroup
from slotfit.model.dark import Dark, dark
from slotfit.model.part import Link, PartSpec
from slotfit.model.seat import Segment, Trained, Upstream
from slotfit.standards.pcie import negotiated_width, width_is_certain

BUS_NAMES = {"pcie": "PCIe", "sata": "SATA", "sas": "SAS", "usb": "USB"}
"""How the trade writes them."""


def lowest(*generations: int | None) -> int | None:
    """The lowest generation that is known; None if none is."""
    known = [generation for generation in generations if generation is not None]
    return min(known) if known else None


def train(spec: PartSpec, upstream: Upstream) -> tuple[Trained, ...]:
    """Every link of the part, in the part's order."""
    return tuple(train_link(spec, link, upstream) for link in spec.links)


def train_link(spec: PartSpec, link: Link, upstream: Upstream) -> Trained:
    """One link: it trains if its first lane is one at which a link may start."""
    able = link.generation or spec.generation
    segment = segment_for(link, upstream)
    return Trained(
        at=link.at,
        lanes=width(link, segment) if segment else 0,
        generation=lowest(able, offered_to(link, segment, upstream)) if segment else None,
        able_lanes=link.lanes,
        able_generation=able,
        bus=link.bus,
        to=link.to,
        dark=None if segment else why_dark(link, upstream),
        certain=segment is None or sure(spec, link, segment),
    )


def segment_for(link: Link, upstream: Upstream) -> Segment | None:
    """The lanes that the link trains on; None if it stays dark."""
    if link.bus == "pcie":
        return next(
            (s for s in upstream.segments if s.bus == "pcie" and s.start == link.at),
            None,
        )
    return run_of_ports(link, upstream)


def run_of_ports(link: Link, upstream: Upstream) -> Segment | None:
    """Lanes from the link's first one on, as far as they arrive: each is a port of its own."""
    heard = [segment for segment in upstream.segments if speaks(link, segment)]
    first = next((s for s in heard if s.start <= link.at < s.end), None)
    if first is None:
        return None
    arriving = {lane for segment in heard for lane in range(segment.start, segment.end)}
    lanes = 1
    while lanes < link.lanes and link.at + lanes in arriving:
        lanes += 1
    return Segment(link.at, lanes, first.bus)


def speaks(link: Link, segment: Segment) -> bool:
    """Whether the link understands the segment's bus; SAS ports also take SATA drives."""
    return link.bus == segment.bus or (link.bus == "sata" and segment.bus == "sas")


def width(link: Link, segment: Segment) -> int:
    """Lanes the link trains at."""
    if link.to or segment.bus != "pcie":
        return min(link.lanes, segment.lanes)
    return negotiated_width(link.lanes, segment.lanes)


def sure(spec: PartSpec, link: Link, segment: Segment) -> bool:
    """Whether the width is settled; wires through a passive part settle nothing yet."""
    if link.to or segment.bus != "pcie":
        return True
    return width_is_certain(link.lanes, segment.lanes, module=spec.plug.form.startswith("m2-"))


def offered_to(link: Link, segment: Segment, upstream: Upstream) -> int | None:
    """
    The generation that arrives, in the link's own count; the most that can, if no more is known.

    An offer names one generation. Where PCIe lanes lie beside SATA or SAS ones it is theirs.
    """
    arrives = upstream.passes if upstream.generation is None else upstream.arrives
    if link.bus != "pcie" and any(s.bus == "pcie" for s in upstream.segments):
        return None
    if (link.bus, segment.bus) == ("sata", "sas") and arrives is not None:
        # SAS-1 runs at 3 Gb/s as SATA-2 does, SAS-2 at 6 as SATA-3; no SATA is faster.
        return min(arrives + 1, 3)
    return arrives


def why_dark(link: Link, upstream: Upstream) -> Dark:
    """The reason."""
    if not upstream.segments:
        return upstream.dark or dark("nothing")
    return unheard(link, upstream, "link")


def unheard(link: Link, upstream: Upstream, kind: Literal["link", "wire"]) -> Dark:
    """Lanes arrive, and none of them begins where a link, or a passive wire, hears it."""
    heard = [segment for segment in upstream.segments if speaks(link, segment)]
    if not heard:
        buses = dict.fromkeys(BUS_NAMES[segment.bus] for segment in upstream.segments)
        case = "one bus" if len(buses) == 1 else "buses"
        return dark(case, buses=" and ".join(buses), bus=BUS_NAMES[link.bus])
    for segment in heard:
        if segment.start < link.at < segment.end:
            return dark(f"{kind} inside", lane=link.at, lanes=segment.lanes, start=segment.start)
    wired = max(segment.end for segment in heard)
    if link.at < wired:
        return dark("gap", lane=link.at)
    if wired == 1 and kind == "link":
        return dark("one lane", lane=link.at)
    return dark(f"{kind} beyond", lane=link.at, last=wired - 1, arrive=wired)


def passed_on(link: Link, upstream: Upstream) -> tuple[Segment, ...]:
    """
    Segments that a passive wire hands to its receptacle, in the receptacle's lane order.

    A PCIe segment that begins before the wire does is lost; SATA and SAS lanes come one by one.
    """
    end = link.at + link.lanes
    return tuple(
        Segment(first - link.at, min(s.end, end) - first, s.bus)
        for s in upstream.segments
        if speaks(link, s)
        and (first := s.start if s.bus == "pcie" else max(s.start, link.at)) < min(s.end, end)
        and first >= link.at
    )


def drawing(group: LaneGroup) -> dict[str | None, list[str]]:
    """Arrangement chosen by presence -> receptacles it serves only because they are filled."""
    empty, yielding = way_when_empty(group), yields(group)
    return {
        way.id: []
        if way is empty
        else [name for name in way.gives if name in way.served - yielding]
        for way in steered(group)
    }


def lanes_drawn_by(group: LaneGroup) -> tuple[str, ...]:
    """Receptacles that draw lanes to themselves once something is in them."""
    return tuple(dict.fromkeys(name for names in drawing(group).values() for name in names))


def steered(group: LaneGroup) -> list[Arrangement]:
    """Arrangements that the board chooses by what is plugged in."""
    return [way for way in group.arrangements if way.chosen_by == "presence"]


def yields(group: LaneGroup) -> frozenset[str]:
    """
    Receptacles that have lanes while nothing is plugged in, and are in no row's way when filled.

    But where two rows differ by such a receptacle alone, it counts as all others do.
    """
    rows = {way.served for way in steered(group)}
    told = {name for row in rows for name in row if len(row) > 1 and row - {name} in rows}
    return way_when_empty(group).served - told


def calls_for(group: LaneGroup) -> dict[str | None, list[list[str]]]:
    """
    Arrangement chosen by presence -> lists of receptacles: something has to be in one of each.

    Each arrangement is a row of the manual: it names the receptacles that draw its lanes, and holds
    while something is in just these. What is filled may be in no row; then it is not known what
    arrives, and the smallest row that has lanes for all of it may be taken for it.
    """
    yielding = yields(group)
    rows = {frozenset[str](), *(way.served - yielding for way in steered(group))}
    found: dict[str | None, list[list[str]]] = {}
    for way, names in drawing(group).items():
        smaller = [row for row in rows if row < set(names)]
        largest = [row for row in smaller if not any(row < other for other in smaller)]
        found[way] = sorted([name for name in names if name not in row] for row in largest)
    return found


def may_be_empty(group: LaneGroup, way: Arrangement) -> list[str]:
    """Receptacles that a row names, and with one of them empty there is no row at all."""
    calls = calls_for(group).get(way.id, [])
    return [name for name in drawing(group).get(way.id, []) if [name] not in calls]


def way_when_empty(group: LaneGroup) -> Arrangement:
    """What the board does while nothing is plugged in: the first, or one that serves still less."""
    first = group.arrangements[0]
    less = [way for way in steered(group) if way.served < first.served]
    return min(less, key=lambda way: len(way.served), default=first)
