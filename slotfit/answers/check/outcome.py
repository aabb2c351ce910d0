"""What becomes of a part in one layout: endpoint by endpoint what trains, how fast, or why not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from slotfit.answers.check.answer import Endpoint
from slotfit.answers.check.question import LayoutModel, Question, SeatedParts, is_lane_socket
from slotfit.answers.names import gb_s, link_text
from slotfit.engine.costs import dark_endpoints
from slotfit.engine.seats import judge
from slotfit.engine.upstream import nested_upstream
from slotfit.hardware.flow import demand_of, rate, short_by_link
from slotfit.model.board import Arrangement, LaneGroup
from slotfit.model.part import PartReceptacle
from slotfit.model.problem import Part, Problem
from slotfit.model.reason import Doubt
from slotfit.model.seat import Seat, Trained, Upstream, rests_on
from slotfit.rule import SeatRule, gets, trial_of
from slotfit.standards.forms import FORMS, fit_of


@dataclass(frozen=True, slots=True)
class SeatOutcome:
    """What becomes of the part in one receptacle under one arrangement."""

    seats: tuple[Seat, ...]
    """Its own, then those of what is on it."""
    group: LaneGroup | None
    way: Arrangement | None
    """None where nothing can be arranged."""
    change: bool
    """The arrangement has to be set; it is not what the board does by itself."""
    endpoints: tuple[Endpoint, ...]
    """Those that count towards "n of m", and the shared link upwards."""
    decides: tuple[Doubt, ...]
    """Facts nobody has proven on which it hangs whether this comes out so."""
    order: tuple[Doubt, ...]
    """Facts that say which lanes are the wide ones. They decide only where that changes how many
    endpoints are seen."""
    provided: tuple[Doubt, ...]
    """Further facts it rests on: of the part, of its surroundings, of its speed."""
    short_mb_s: int
    """MB/s, in and out together, that links and shared links lose of what is moved."""
    unseated: int
    """Drives that find no seat."""
    dark: int
    """Links of the part and its drives that stay dark."""
    changes: tuple[tuple[str, Trained, Trained], ...] = ()
    """Parts that sit there today and train otherwise then: part, link now, link then."""

    @property
    def seat(self) -> Seat:
        """Where the part itself sits."""
        return self.seats[0]

    @property
    def counted(self) -> tuple[Endpoint, ...]:
        """The endpoints of "n of m"."""
        return tuple(one for one in self.endpoints if one.kind != "upwards")

    @property
    def upwards(self) -> Endpoint | None:
        """The link of a switch or controller that its sockets share."""
        return next((one for one in self.endpoints if one.kind == "upwards"), None)

    @property
    def total(self) -> int:
        """How many endpoints there are."""
        return len(self.counted)

    @property
    def alive(self) -> int:
        """How many of them are seen."""
        return sum(one.lanes > 0 for one in self.counted)

    @property
    def whole(self) -> bool:
        """Every endpoint is seen."""
        return self.alive == self.total

    @property
    def certain(self) -> bool:
        """It hangs on nothing unproven."""
        return not self.decides

    @property
    def receptacle(self) -> str:
        """Id of the board receptacle below it all."""
        return self.seat.upstream.root.rpartition("/")[2]


def facts(
    problem: Problem,
    part: str,
    seats: Sequence[Seat],
    beside: Iterable[Seat],
    rules: Sequence[SeatRule],
) -> tuple[tuple[Doubt, ...], tuple[Doubt, ...], tuple[Doubt, ...]]:
    """
    Unproven facts under a part and what is on it: what decides, lane order, the others.

    What does not decide are conditions that are told beside the verdict, and so are all doubts
    about what sits on the part: they ask about the part itself. `beside`: what else is there.
    """
    deciding: dict[tuple[str, ...], Doubt] = {}
    order: dict[tuple[str, ...], Doubt] = {}
    others: dict[tuple[str, ...], Doubt] = {}
    resting = rests_on(seats, beside)
    for seat in seats:
        if not seat.facts:
            continue
        for verdict in judge(trial_of(problem, seat), rules):
            if isinstance(verdict, Doubt) and verdict.id in resting:
                decides = seat.part == part and verdict.look.decides
                kind = order if verdict.is_about_order else deciding if decides else others
                kind[verdict.id] = verdict
    return tuple(deciding.values()), tuple(order.values()), tuple(others.values())


def endpoints(model: LayoutModel, layout: SeatedParts) -> tuple[Endpoint, ...]:
    """
    The links and sockets of the part asked about, in its order.

    Where drives are named only their sockets count; a controller's ports count only then.
    """
    question = model.question
    seat = layout.seats[question.part_id]
    by_socket = dict(in_lane_sockets(question))
    sockets = [*counted_sockets(question.part, by_socket)]
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
    mb_s = carried(link, seat.upstream)
    return Endpoint(
        name="link" if len(seat.links) == 1 else f"link {number}",
        kind="upwards" if shares else "link",
        lanes_text=lanes_text(link.at, link.able_lanes),
        segment=segment_text(link.at, seat.upstream),
        text=trained_text(link, mb_s) if link.lanes else "dark",
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
    """`8 GT/s x4`, or the most it can be where nobody has said how fast the lanes are."""
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
    told = layout.seats.get(drive) if drive else None
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
        text=trained_text(link, mb_s) if link else "dark",
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
    if told and told.links and told.alive:
        return next(link for link in told.links if link.lanes), ""
    fit = fit_of(drive.spec.plug.form, socket.form)
    if not fit.fits:
        return None, fit.reason
    if not upstream.segments:
        return None, str(upstream.dark or "")
    against = layout.unseated.get(drive.id, ())
    return None, "; ".join(objection.text for objection in against) or "no link of it trains"


def outcome_of(model: LayoutModel, layout: SeatedParts, today: SeatedParts) -> SeatOutcome:
    """
    What the layout makes of the part; it has a seat there.

    `today` is the layout without the part, from which the board is changed.
    """
    seat = layout.seats[model.question.part_id]
    group, way = way_of(model, layout, seat)
    mine = [layout.seats[name] for name in model.asked() if name in layout.seats]
    decides, order, provided = facts(
        model.problem, model.question.part_id, mine, layout.seats.values(), model.seat_rules
    )
    name = seat.upstream.group
    own = today.ways.get(name) if name else None
    return SeatOutcome(
        seats=tuple(mine),
        group=group,
        way=way,
        change=bool(group and way and needs_change(group, str(own), way)),
        endpoints=endpoints(model, layout),
        decides=(*decides, *order),
        order=order,
        provided=provided,
        short_mb_s=short(model, layout) - short(model, today),
        unseated=sum(name not in layout.seats for name in model.question.drives),
        dark=sum(dark_endpoints(model.problem.part[one.part], one) for one in mine),
        changes=tuple(changes(today, layout)),
    )


def way_of(
    model: LayoutModel, layout: SeatedParts, seat: Seat
) -> tuple[LaneGroup | None, Arrangement | None]:
    """The lane group below it all and its arrangement, where the part takes lanes from one."""
    name = seat.upstream.group
    if name is None or not seat.links:
        return None, None
    group = model.groups[name]
    return group, group.arrangement(layout.ways[name])


def needs_change(group: LaneGroup, own: str, way: Arrangement) -> bool:
    """Whether someone has to set it: presence and wiring come by themselves."""
    today = group.arrangement(own)
    if way.id == today.id:
        return False
    return any(one.chosen_by in ("setting", "jumper") for one in (way, today))


def short(model: LayoutModel, layout: SeatedParts) -> int:
    """MB/s short, in and out together, as `place` counts them; today's are asked for each time."""
    known = model.short.get(id(layout))
    if known is None or known[0] is not layout:
        known = (layout, sum(short_by_link(model.problem, layout.seats.values()).values()))
        model.short[id(layout)] = known
    return known[1]


def changes(today: SeatedParts, then: SeatedParts) -> Iterator[tuple[str, Trained, Trained]]:
    """Links of what sits there today that train otherwise."""
    for part, before in today.seats.items():
        after = then.seats.get(part)
        for old, new in zip(before.links, after.links if after else (), strict=bool(after)):
            if (old.lanes, old.generation) != (new.lanes, new.generation):
                yield part, old, new


def seen(outcome: SeatOutcome) -> str:
    """What is seen of the part: `2 of 4 sockets are seen`, `trains at 8 GT/s x8`."""
    counted = outcome.counted
    if not counted:
        return "takes power and room, no lanes"
    kind = "socket" if any(one.kind == "socket" for one in counted) else "link"
    if len(counted) == 1 and kind == "link":
        one = counted[0]
        return f"trains at {one.text}{enough(one)}" if one.lanes else "its link stays dark"
    held = {one.drive_class for one in counted if one.drive}
    thing = ("drive" if held == {"drive"} else "card") if held else kind
    thing += "" if outcome.total == 1 else "s"
    verb = "is" if 1 in (outcome.alive, outcome.total) else "are"
    return f"{outcome.alive} of {outcome.total} {thing} {verb} seen"


def enough(one: Endpoint) -> str:
    """What the link could be at its best, and what it carries of what is moved."""
    if one.mb_s is None:
        return ""
    best = "" if one.text == one.able_text else f" (it could do {one.able_text})"
    text = f"{best}, {gb_s(one.mb_s)} GB/s"
    if one.moves_mb_s is None or one.mb_s >= one.moves_mb_s:
        return text
    return text + f" of the {gb_s(one.moves_mb_s)} it moves"


def division(way: Arrangement) -> str:
    """What to call an arrangement: the menu's words, else how it divides."""
    return f'"{way.setting}"' if way.setting else f'"{gets(way)}"'


def setting_text(outcome: SeatOutcome) -> str:
    """What to do so that the board arranges its lanes so."""
    way = outcome.way
    if way is None:
        return ""
    if way.proof is None:
        return f"find an entry like {division(way)} in firmware setup, if there is one"
    if way.chosen_by == "jumper":
        return f"set the jumper to {division(way)}"
    if way.chosen_by == "setting":
        return f"choose {division(way)} in firmware setup"
    return "set the lane split back to what the board does by itself"
