"""Which lanes of an uneven division are which, and how a person tells."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from slotfit.hardware.training import passed_on, train
from slotfit.model.part import Link, PartSpec
from slotfit.model.seat import Segment, Upstream


def turned_over(upstream: Upstream) -> Upstream:
    """The same segments, laid from the other end."""
    wired = max(segment.end for segment in upstream.segments)
    segments = sorted(Segment(wired - s.end, s.lanes, s.bus) for s in upstream.segments)
    return replace(upstream, segments=tuple(segments))


def outcome(spec: PartSpec, upstream: Upstream) -> object:
    """What a part gets from an offer: trained lanes, and what its wires hand on."""
    wires = [passed_on(link, upstream) for link in spec.links if link.to]
    return [link.lanes for link in train(spec, upstream)], wires


def first_lanes(widths: Sequence[int]) -> list[int]:
    """
    The lanes at which links may start.

    >>> first_lanes((8, 4, 4))
    [0, 8, 12]
    """
    return [0, *accumulate(widths)][:-1]


def telling_lane(widths: Sequence[int]) -> int | None:
    """
    The first lane at which something is seen only if the lanes come in this order; None if none is.

    >>> telling_lane((4, 4, 8)), telling_lane((8, 4, 4)), telling_lane((4, 4))
    (4, 12, None)
    """
    other = first_lanes(widths[::-1])
    return next((lane for lane in first_lanes(widths) if lane not in other), None)


@dataclass(frozen=True, slots=True)
class Telling:
    """The link of a part that comes up otherwise if the lanes come in the other order."""

    lane: int
    socket: str
    """What it is wired to; empty: it ends in the part."""
    here: int
    """Lanes in this order; 0: it stays dark."""
    turned: int
    """Lanes in the other order."""


def telling(spec: PartSpec, upstream: Upstream) -> Telling | None:
    """Best a link that is seen in one order only, for which one drive and one look are enough."""
    other = turned_over(upstream)
    found = [
        Telling(link.at, link.to[0] if link.to else "", lanes(spec, link, upstream), there)
        for link in spec.links
        if (there := lanes(spec, link, other)) != lanes(spec, link, upstream)
    ]
    return min(found, key=lambda one: (bool(one.here and one.turned), one.lane), default=None)


def lanes(spec: PartSpec, link: Link, upstream: Upstream) -> int:
    """Lanes that a link trains at, or that its socket could."""
    if link.to:
        first: Iterable[Segment] = passed_on(link, upstream)
        return next((segment.lanes for segment in first if segment.start == 0), 0)
    return next(one.lanes for one in train(spec, upstream) if one.at == link.at)


def how_to_tell(one: Telling | None) -> str:
    """What to do to see which order it is; the doubt and the way to try are worded here alone."""
    if one is None:
        return "set it, fill every socket, and see with `lspci` which links come up, and how wide"
    what = f"put one drive into {one.socket}" if one.socket else "fit it"
    name = f"{one.socket} (lane {one.lane})" if one.socket else f"the link at lane {one.lane}"
    if one.here and one.turned:
        return (
            f"set it, {what}, and look at LnkSta of {name}: x{one.here} if so, else x{one.turned}"
        )
    is_so, is_not = ("is seen", "is not detected") if one.here else ("is not detected", "is seen")
    return f"set it, {what}, and look with `lspci`: {name} {is_so} if so, and {is_not} if not"
