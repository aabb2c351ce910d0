"""
How a part's links train on an offer.

Source: PCIe Base, link initialisation as told in the facts file of the standards folder: both
ends settle on the smaller width and the lower rate; a link starts at the first lane of a segment.
"""

from __future__ import annotations

from slotfit.model.part import Link, Part
from slotfit.model.seat import Offer, Segment, Trained
from slotfit.standards.pcie import negotiated_width, width_is_certain


def lowest(*generations: int | None) -> int | None:
    """The lowest generation that is known; None if none is."""
    known = [generation for generation in generations if generation is not None]
    return min(known) if known else None


def train(part: Part, offer: Offer) -> tuple[Trained, ...]:
    """Every link of the part, in the part's order."""
    return tuple(train_link(part, link, offer) for link in part.links)


def train_link(part: Part, link: Link, offer: Offer) -> Trained:
    """One link: an endpoint trains if a segment of its bus starts at its first lane."""
    able = link.generation or part.generation
    segment = next(
        (s for s in offer.segments if s.start == link.at and speaks(link, s)),
        None,
    )
    dark = "" if segment else why_dark(link, offer)
    lanes = width(link, segment) if segment else 0
    return Trained(
        at=link.at,
        lanes=lanes,
        generation=meets(link, able, segment, offer.generation),
        able_lanes=link.lanes,
        able_generation=able,
        bus=link.bus,
        to=link.to,
        dark=dark,
        certain=segment is None or sure(link, segment),
    )


def meets(link: Link, able: int | None, segment: Segment | None, offered: int | None) -> int | None:
    """The generation both ends know; a SATA drive on a SAS port keeps its own."""
    if segment is None:
        return None
    return able if segment.bus != link.bus else lowest(able, offered)


def speaks(link: Link, segment: Segment) -> bool:
    """Whether the link understands the segment's bus; SAS ports also take SATA drives."""
    return link.bus == segment.bus or (link.bus == "sata" and segment.bus == "sas")


def width(link: Link, segment: Segment) -> int:
    """Lanes the link trains at."""
    if link.to or segment.bus != "pcie":
        return min(link.lanes, segment.lanes)
    return negotiated_width(link.lanes, segment.lanes)


def sure(link: Link, segment: Segment) -> bool:
    """Whether the standard settles the width; wires through a passive part settle nothing yet."""
    return bool(link.to) or segment.bus != "pcie" or width_is_certain(link.lanes, segment.lanes)


def why_dark(link: Link, offer: Offer) -> str:
    """The reason, as a clause that fits after "because"."""
    if not offer.segments:
        return offer.dark or "no lanes arrive here"
    for segment in offer.segments:
        if segment.start < link.at < segment.end:
            return (
                f"lane {link.at} lies inside the x{segment.lanes} segment that starts at lane "
                f"{segment.start}, and a link only starts at a segment's first lane"
            )
    if all(segment.bus != link.bus for segment in offer.segments):
        return f"{offer.segments[0].bus.upper()} arrives here, not {link.bus.upper()}"
    wired = max(segment.end for segment in offer.segments)
    return f"only lanes 0 to {wired - 1} arrive here, and it starts at lane {link.at}"


def passed_on(link: Link, offer: Offer) -> tuple[Segment, ...]:
    """Segments that a passive wire hands to its receptacle, in the receptacle's lane order."""
    return tuple(
        Segment(s.start - link.at, min(s.end, link.at + link.lanes) - s.start, s.bus)
        for s in offer.segments
        if link.at <= s.start < link.at + link.lanes
    )
