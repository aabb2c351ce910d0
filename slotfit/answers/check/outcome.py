"""What becomes of a part in one layout: how much of it is seen, what it loses, what others lose."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from slotfit.answers.check.answer import Endpoint
from slotfit.answers.check.endpoints import counted_sockets, endpoints, in_lane_sockets, why_idle
from slotfit.answers.check.question import LayoutModel, SeatedParts
from slotfit.answers.names import gb_s
from slotfit.engine.costs import dark_endpoints
from slotfit.engine.seats import judge
from slotfit.hardware.flow import short_by_link
from slotfit.hardware.training import way_when_empty
from slotfit.model.board import Arrangement, LaneGroup
from slotfit.model.keys import LinkKey
from slotfit.model.problem import Problem
from slotfit.model.reason import Doubt
from slotfit.model.seat import Seat, Trained, rests_on
from slotfit.rule import SeatRule, gets, trial_of


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
    """Those that count towards "n of m", and the shared uplink."""
    decides: tuple[Doubt, ...]
    """Facts nobody has proven on which it hangs whether this comes out so."""
    order: tuple[Doubt, ...]
    """Facts that say which lanes are the wide ones. They decide only where that changes how many
    endpoints are seen."""
    provided: tuple[Doubt, ...]
    """Further facts it rests on: of the part, of its surroundings, of its speed."""
    short_mb_s: int
    """MB/s, in and out together, that links and shared links lose of what is moved."""
    idle: int
    """Drives, or whatever sits on the part, that do not work."""
    dark: int
    """Links of the part and its drives that stay dark."""
    below: tuple[tuple[str, str], ...] = ()
    """Those of the idle ones that are no endpoint, and why as a clause."""
    slow: bool = False
    """The part, or what is on it, gets less than it moves."""
    slowed: tuple[str, ...] = ()
    """Parts that sit there today and lose of what they move, links that go dark among it."""
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
        """Every endpoint is seen, and all that sits on the part works."""
        return self.alive == self.total and not self.idle

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


def outcome_of(model: LayoutModel, layout: SeatedParts, today: SeatedParts) -> SeatOutcome:
    """
    What the layout makes of the part; it has a seat there.

    `today` is the layout without the part, from which the board is changed.
    """
    seat = layout.seats[model.question.part_id]
    group, way = way_of(model, layout, seat)
    mine = [layout.seats[name] for name in model.asked() if layout.works(name)]
    decides, order, provided = facts(
        model.problem, model.question.part_id, mine, layout.seats.values(), model.seat_rules
    )
    name = seat.upstream.group
    own = today.ways.get(name) if name else None
    now, was = short(model, layout), short(model, today)
    more = [link for link, missing in now.items() if missing > was.get(link, 0)]
    return SeatOutcome(
        seats=tuple(mine),
        group=group,
        way=way,
        change=bool(group and way and needs_change(group, str(own), way)),
        endpoints=endpoints(model, layout),
        decides=(*decides, *order),
        order=order,
        provided=provided,
        short_mb_s=sum(now.values()) - sum(was.values()),
        idle=sum(not layout.works(name) for name in model.question.drives),
        dark=sum(dark_endpoints(model.problem.part[one.part], one) for one in mine),
        below=tuple(idle_below(model, layout)),
        slow=any(map(partial(is_held_back, now), mine)),
        slowed=tuple(
            part
            for part, before in today.working.items()
            if (after := layout.working.get(part))
            and (is_held_back(more, after) or after.alive < before.alive)
        ),
        changes=tuple(changes(today, layout)),
    )


def idle_below(model: LayoutModel, layout: SeatedParts) -> Iterator[tuple[str, str]]:
    """What does not work and is in no socket that is counted: it moves air, or sits deeper."""
    question = model.question
    counted = counted_sockets(question, dict(in_lane_sockets(question)))
    told = {f"{question.part_id}/{socket.id}" for socket in counted}
    for name, receptacle in question.drives.items():
        if receptacle not in told and not layout.works(name):
            yield name, why_idle(layout, name)


def is_held_back(links: Collection[LinkKey], seat: Seat) -> bool:
    """Whether what a seat moves goes over one of these links, its own or a shared one."""
    above = (LinkKey(node, shared=True) for node in seat.upstream.hops)
    return LinkKey(seat.part) in links or any(link in links for link in above)


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
    if way.chosen_by == "presence" and today == way_when_empty(group):
        return False
    return any(one.chosen_by in ("setting", "jumper") for one in (way, today))


def short(model: LayoutModel, layout: SeatedParts) -> Mapping[LinkKey, int]:
    """MB/s short by link, as `place` counts them; today's are asked for each time."""
    known = model.short.get(id(layout))
    if known is None or known[0] is not layout:
        known = (layout, short_by_link(model.problem, layout.working.values()))
        model.short[id(layout)] = known
    return known[1]


def changes(today: SeatedParts, then: SeatedParts) -> Iterator[tuple[str, Trained, Trained]]:
    """Links of what sits there today that train otherwise."""
    for part, before in today.working.items():
        after = then.working.get(part)
        for old, new in zip(before.links, after.links if after else (), strict=bool(after)):
            if (old.lanes, old.generation) != (new.lanes, new.generation):
                yield part, old, new


def seen(outcome: SeatOutcome) -> str:
    """What is seen of the part: `2 of 4 sockets are seen`, `trains at gen 3 x8`."""
    counted = outcome.counted
    if not counted:
        return "takes power and room, no lanes"
    kind = "socket" if any(one.kind == "socket" for one in counted) else "link"
    if len(counted) == 1 and kind == "link":
        one = counted[0]
        return f"trains at {one.text}{enough(one)}" if one.lanes else "its link is not detected"
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
