"""Endpoint by endpoint: what a part's links and sockets train at in one layout, or why not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from slotfit.answers.check.answer import Endpoint
from slotfit.answers.check.question import LayoutModel, Question, SeatedParts, is_lane_socket
from slotfit.answers.names import link_text
from slotfit.engine.upstream import nested_upstream
from slotfit.hardware.flow import demand_of, rate
from slotfit.model.part import PartReceptacle
from slotfit.model.problem import Part
from slotfit.model.seat import Seat, Trained, Upstream
from slotfit.standards.forms import FORMS, fit_of


def endpoints(model: LayoutModel, layout: SeatedParts) -> tuple[Endpoint, ...]:
    """
    The links and sockets of the part asked about, in its order.

    Where drives are named only their sockets count; a controller's ports count only then.
    """
    question = model.question
    seat = layout.seats[question.part_id]
    by_socket = dict(in_lane_sockets(question))
    sockets = [*counted_sockets(question, by_socket)]
    shares = question.part.spec.wiring != "passive" and bool(sockets)
    found = [direct(question.part, seat, link, shares) for link in seat.links if not link.to]
    for socket in sockets:
        drive = by_socket.get(f"{question.part_id}/{socket.id}")
        found.append(at_socket(model, layout, seat, socket, drive))
    return tuple(found)


def in_lane_sockets(question: Question) -> Iterator[tuple[str, str]]:
    """Sockets and what is in them; an air mover on its mount counts for nothing here."""
    for drive, receptacle in question.drives.items():
        owner, _, socket = receptacle.partition("/")
        if owner != question.part_id or is_lane_socket(question.part.spec, socket):
            yield receptacle, drive


def counted_sockets(question: Question, by_socket: Mapping[str, str]) -> Iterator[PartReceptacle]:
    """
    Sockets that are looked at: those with drives, or all if no drive is named.

    What takes nothing but power is never seen, and does not count.
    """
    part = question.part
    for socket in part.spec.receptacles:
        if by_socket:
            drive = by_socket.get(f"{part.id}/{socket.id}")
            if drive and question.problem.part[drive].spec.links:
                yield socket
        elif part.spec.wiring != "controller" and is_lane_socket(part.spec, socket.id):
            yield socket


def direct(part: Part, seat: Seat, link: Trained, shares: bool) -> Endpoint:
    """A link that ends on the part itself."""
    number = [one.at for one in seat.links].index(link.at) + 1
    mb_s = carried(link, seat.upstream)
    return Endpoint(
        name="link" if len(seat.links) == 1 else f"link {number}",
        kind="upwards" if shares else "link",
        lanes_text=lanes_text(link.at, link.able_lanes),
        segment=segment_text(link.at, seat.upstream),
        text=trained_text(link, mb_s) if link.lanes else "not detected",
        lanes=link.lanes,
        generation=link.generation if link.lanes else None,
        able_text=able_text(link) if link.lanes else None,
        mb_s=mb_s,
        moves_mb_s=None if shares else moved(part, seat, link),
        drive=None,
        drive_class=None,
        dark=str(link.dark or ""),
    )


def lanes_text(at: int, lanes: int) -> str:
    """`4-7`, `0`."""
    return f"{at}-{at + lanes - 1}" if lanes > 1 else str(at)


def segment_text(lane: int, upstream: Upstream) -> str | None:
    """The segment a lane lies in: `x8 from lane 0`."""
    around = next((one for one in upstream.segments if one.start <= lane < one.end), None)
    return f"x{around.lanes} from lane {around.start}" if around else None


def trained_text(link: Trained, mb_s: int | None) -> str:
    """`gen 3 x4`, or the most it can be where nobody has said how fast the lanes are."""
    text = link_text(link.bus, link.generation, link.lanes)
    return text if mb_s is not None or link.generation is None else f"{text} at most"


def able_text(link: Trained) -> str:
    """What the part's end of it could do."""
    return link_text(link.bus, link.able_generation, link.able_lanes)


def moved(part: Part, seat: Seat, link: Trained) -> int | None:
    """What the card moves over this link: its demand, or what the link could do at its best."""
    said = part.wish.demand or part.spec.demand
    if said is not None and len(seat.links) == 1:
        return max(demand_of(part, seat, serves=False)) or None
    if link.able_generation is None:
        return None
    return rate(link.bus, link.able_generation, link.able_lanes)


def carried(link: Trained, upstream: Upstream) -> int | None:
    """MB/s each way; None if nobody has said how fast the lanes or the part are."""
    if not link.lanes:
        return 0
    if link.generation is None or upstream.generation is None or link.able_generation is None:
        return None
    return rate(link.bus, link.generation, link.lanes)


def at_socket(
    model: LayoutModel, layout: SeatedParts, seat: Seat, socket: PartReceptacle, drive: str | None
) -> Endpoint:
    """One socket: what its drive trains at, or what a drive in it could."""
    part = model.question.part
    upstream = nested_upstream(part, socket, seat)
    wires = [link for link in part.spec.links if socket.id in link.to]
    lanes = sum(wire.lanes for wire in wires) or socket.lanes or FORMS[socket.form].max_lanes
    inner = model.problem.part[drive] if drive else None
    told = layout.seats[drive] if drive and layout.works(drive) else None
    link, dark = in_socket(layout, upstream, socket, inner, lanes)
    mb_s: int | None = 0
    if link and told:
        mb_s = carried(link, told.upstream)
    elif link:
        mb_s = rate(link.bus, upstream.arrives, link.lanes) if upstream.arrives else None
    at = wires[0].at if wires else None
    return Endpoint(
        name=socket.id,
        kind="socket",
        lanes_text="" if at is None else lanes_text(at, lanes),
        segment=None if at is None else segment_text(at, seat.upstream),
        text=trained_text(link, mb_s) if link else "not detected",
        lanes=link.lanes if link else 0,
        generation=link.generation if link else None,
        able_text=able_text(link) if link and inner else None,
        mb_s=mb_s,
        moves_mb_s=max(demand_of(inner, told, serves=False)) if inner and told else None,
        drive=inner.spec.id if inner else None,
        drive_class=inner.spec.part_class if inner else None,
        dark=dark,
    )


def in_socket(
    layout: SeatedParts, upstream: Upstream, socket: PartReceptacle, drive: Part | None, lanes: int
) -> tuple[Trained | None, str]:
    """The socket's link and, if there is none, why."""
    if drive is None:
        if not upstream.segments:
            return None, str(upstream.dark or "")
        first = upstream.segments[0]
        most = min(first.lanes, FORMS[socket.form].max_lanes or first.lanes)
        return Trained(0, most, upstream.arrives, lanes, socket.generation, first.bus), ""
    told = layout.seats.get(drive.id)
    if told and layout.works(drive.id) and told.alive:
        return next(link for link in told.links if link.lanes), ""
    fit = fit_of(drive.spec.plug.form, socket.form)
    if not fit.fits:
        return None, fit.reason
    if not upstream.segments:
        return None, str(upstream.dark or "")
    return None, why_idle(layout, drive.id)


def why_idle(layout: SeatedParts, part: str) -> str:
    """Why a part does not work, as a clause."""
    against = layout.against.get(part, ())
    return "; ".join(objection.text for objection in against) or "no link of it trains"
