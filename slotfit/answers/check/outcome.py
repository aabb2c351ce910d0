"""Endpoint by endpoint: which lanes, which segment, what trains, how fast, or why not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from slotfit.answers.check.answer import Endpoint, Outcome
from slotfit.answers.check.bench import Bench, Layout
from slotfit.answers.check.question import Question, is_lane_socket
from slotfit.engine.costs import dark_endpoints
from slotfit.engine.seats import judge
from slotfit.engine.upstream import nested_upstream
from slotfit.hardware.flow import demand_of, rate, short_by_link
from slotfit.model.board import Arrangement, LaneGroup
from slotfit.model.part import PartReceptacle
from slotfit.model.problem import Part, Problem
from slotfit.model.reason import Doubt
from slotfit.model.seat import Seat, Segment, Trained, Upstream, rests_on
from slotfit.rule import SeatRule, trial_of
from slotfit.standards.forms import FORMS, fit_of


def facts(
    problem: Problem, part: str, seats: Iterable[Seat], rules: Sequence[SeatRule]
) -> tuple[tuple[Doubt, ...], tuple[Doubt, ...], tuple[Doubt, ...]]:
    """
    Unproven facts under a part and what is on it: what decides, lane order, the others.

    What does not decide are conditions that are told beside the verdict, and so are all doubts
    about what sits on the part: they ask about the part itself.
    """
    deciding: dict[tuple[str, ...], Doubt] = {}
    order: dict[tuple[str, ...], Doubt] = {}
    others: dict[tuple[str, ...], Doubt] = {}
    seats = tuple(seats)
    resting = rests_on(seats)
    for seat in seats:
        if not seat.facts:
            continue
        for verdict in judge(trial_of(problem, seat), rules):
            if isinstance(verdict, Doubt) and verdict.id in resting:
                decides = seat.part == part and verdict.look.decides
                kind = order if verdict.is_about_order else deciding if decides else others
                kind[verdict.id] = verdict
    return tuple(deciding.values()), tuple(order.values()), tuple(others.values())


def endpoints(bench: Bench, layout: Layout) -> tuple[Endpoint, ...]:
    """
    The links and sockets of the part asked about, in its order.

    Where drives are named only their sockets count; a controller's ports count only then.
    """
    question = bench.question
    seat = layout.seats[question.part_id]
    by_socket = dict(in_lane_sockets(question))
    sockets = [*counted_sockets(question.part, by_socket)]
    shares = question.part.spec.wiring != "passive" and bool(sockets)
    found = [direct(question.part, seat, link, shares) for link in seat.links if not link.to]
    for socket in sockets:
        drive = by_socket.get(f"{question.part_id}/{socket.id}")
        found.append(at_socket(bench, layout, seat, socket, drive))
    return tuple(found)


def in_lane_sockets(question: Question) -> Iterator[tuple[str, str]]:
    """Sockets and what is in them; an air mover on its mount counts for nothing here."""
    for drive, receptacle in question.drives.items():
        owner, _, socket = receptacle.partition("/")
        if owner != question.part_id or is_lane_socket(question.part.spec, socket):
            yield receptacle, drive


def counted_sockets(part: Part, by_socket: Mapping[str, str]) -> Iterator[PartReceptacle]:
    """Sockets that are looked at: those with drives, or all if no drive is named."""
    for socket in part.spec.receptacles:
        if by_socket:
            if f"{part.id}/{socket.id}" in by_socket:
                yield socket
        elif part.spec.wiring != "controller" and is_lane_socket(part.spec, socket.id):
            yield socket


def direct(part: Part, seat: Seat, link: Trained, shares: bool) -> Endpoint:
    """A link that ends on the part itself."""
    number = [one.at for one in seat.links].index(link.at) + 1
    return Endpoint(
        name="link" if len(seat.links) == 1 else f"link {number}",
        kind="upwards" if shares else "link",
        at=link.at,
        wired=link.able_lanes,
        segment=segment_around(link.at, seat.upstream),
        trained=link if link.lanes else None,
        mb_s=carried(link, seat.upstream),
        moves_mb_s=None if shares else moved(part, seat, link),
        drive=None,
        part_class=None,
        dark=str(link.dark or ""),
    )


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


def segment_around(lane: int, upstream: Upstream) -> Segment | None:
    """The segment a lane lies in."""
    return next((one for one in upstream.segments if one.start <= lane < one.end), None)


def at_socket(
    bench: Bench, layout: Layout, seat: Seat, socket: PartReceptacle, drive: str | None
) -> Endpoint:
    """One socket: what its drive trains at, or what a drive in it could."""
    part = bench.question.part
    upstream = nested_upstream(part, socket, seat)
    wires = [link for link in part.spec.links if socket.id in link.to]
    lanes = sum(wire.lanes for wire in wires) or socket.lanes or FORMS[socket.form].max_lanes
    trained, dark = in_socket(bench, layout, upstream, socket, drive, lanes)
    at = wires[0].at if wires else None
    moves = None
    if drive:
        inner = bench.problem.part[drive]
        told = layout.seats.get(drive)
        moves = max(demand_of(inner, told, serves=False)) if told else None
    return Endpoint(
        name=socket.id,
        kind="socket",
        at=at,
        wired=lanes,
        segment=None if at is None else segment_around(at, seat.upstream),
        trained=trained,
        mb_s=socket_rate(layout, upstream, trained, drive),
        moves_mb_s=moves,
        drive=drive,
        part_class=bench.problem.part[drive].spec.part_class if drive else None,
        dark=dark,
    )


def socket_rate(
    layout: Layout, upstream: Upstream, trained: Trained | None, drive: str | None
) -> int | None:
    """What arrives in a socket: for its drive, or for any drive that is fast enough."""
    if trained is None:
        return 0
    if drive is not None:
        return carried(trained, layout.seats[drive].upstream)
    return rate(trained.bus, upstream.generation, trained.lanes) if upstream.generation else None


def in_socket(
    bench: Bench,
    layout: Layout,
    upstream: Upstream,
    socket: PartReceptacle,
    drive: str | None,
    lanes: int,
) -> tuple[Trained | None, str]:
    """The socket's link and, if there is none, why."""
    if drive is None:
        if not upstream.segments:
            return None, str(upstream.dark or "")
        first = upstream.segments[0]
        most = min(first.lanes, FORMS[socket.form].max_lanes or first.lanes)
        return Trained(0, most, upstream.generation, lanes, socket.generation, first.bus), ""
    told = layout.seats.get(drive)
    if told and told.links and told.alive:
        return next(link for link in told.links if link.lanes), ""
    fit = fit_of(bench.problem.part[drive].spec.plug.form, socket.form)
    if not fit.fits:
        return None, fit.reason
    if not upstream.segments:
        return None, str(upstream.dark or "")
    against = layout.unseated.get(drive, ())
    return None, "; ".join(objection.text for objection in against) or "no link of it trains"


def outcome_of(bench: Bench, layout: Layout, today: Layout) -> Outcome:
    """
    What the layout makes of the part; it has a seat there.

    `today` is the layout without the part, from which the board is changed.
    """
    seat = layout.seats[bench.question.part_id]
    group, way = way_of(bench, layout, seat)
    mine = [layout.seats[name] for name in bench.asked() if name in layout.seats]
    decides, order, provided = facts(bench.problem, bench.question.part_id, mine, bench.seat_rules)
    name = seat.upstream.group
    own = today.ways.get(name) if name else None
    return Outcome(
        seat=seat,
        group=group,
        way=way,
        change=bool(group and way and needs_change(group, str(own), way)),
        endpoints=endpoints(bench, layout),
        decides=(*decides, *order),
        order=order,
        provided=provided,
        short_mb_s=short(bench, layout) - short(bench, today),
        unseated=sum(name not in layout.seats for name in bench.question.drives),
        dark=sum(dark_endpoints(bench.problem.part[one.part], one) for one in mine),
        changes=tuple(changes(today, layout)),
    )


def way_of(bench: Bench, layout: Layout, seat: Seat) -> tuple[LaneGroup | None, Arrangement | None]:
    """The lane group below it all and its arrangement, where the part takes lanes from one."""
    name = seat.upstream.group
    if name is None or not seat.links:
        return None, None
    group = bench.groups[name]
    return group, group.arrangement(layout.ways[name])


def needs_change(group: LaneGroup, own: str, way: Arrangement) -> bool:
    """Whether someone has to set it: presence and wiring come by themselves."""
    today = group.arrangement(own)
    if way.id == today.id:
        return False
    return any(one.chosen_by in ("setting", "jumper") for one in (way, today))


def short(bench: Bench, layout: Layout) -> int:
    """MB/s short, in and out together, as `place` counts them; today's are asked for each time."""
    known = bench.short.get(id(layout))
    if known is None or known[0] is not layout:
        known = (layout, sum(short_by_link(bench.problem, layout.seats.values()).values()))
        bench.short[id(layout)] = known
    return known[1]


def changes(today: Layout, then: Layout) -> Iterator[tuple[str, Trained, Trained]]:
    """Links of what sits there today that train otherwise."""
    for part, before in today.seats.items():
        after = then.seats.get(part)
        for old, new in zip(before.links, after.links if after else (), strict=bool(after)):
            if (old.lanes, old.generation) != (new.lanes, new.generation):
                yield part, old, new
