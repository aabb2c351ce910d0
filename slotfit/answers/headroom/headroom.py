"""From what fits to what is shown of it."""

from __future__ import annotations

import time
from collections.abc import Callable, Container, Iterator, Sequence
from dataclasses import dataclass

from slotfit.answers.compare.answer import OutlookView
from slotfit.answers.compare.causes import elsewhere, link_name, short
from slotfit.answers.compare.futures import Outlook, outlook_of
from slotfit.answers.compare.left_out import Stop, left, obstacles
from slotfit.answers.headroom.additions import Probe, added, keeping, seats_of_new, with_parts
from slotfit.answers.headroom.answer import HeadroomView, MoveView, NewSeatView, RoomView
from slotfit.answers.names import gb_s, headline, link_text, printed
from slotfit.answers.place.answer import SCHEMA_VERSION, SettingToChoose
from slotfit.answers.place.of_plan import settings
from slotfit.answers.place.plan import place, state_all
from slotfit.model.plan import Placed, Plan, Status
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat

Tell = Callable[[str, int, int], None]


@dataclass(frozen=True)
class Room:
    """What became of one addition."""

    probe: Probe
    fits: int
    counted: bool
    """One more was proven not to fit, or was not asked for."""
    placed: Placed | None
    """The build with as many as fit; None if none does."""
    why_no_more: str


@dataclass(frozen=True)
class Held:
    """A plan as today's layout, to which things are added."""

    placed: Placed
    plan: Plan

    @property
    def base(self) -> Problem:
        """The build in which every part is to stay as good as it is."""
        return self.placed.problem

    def with_(self, probe: Probe, count: int) -> Problem:
        """So many of an addition beside it."""
        return with_parts(self.base, added(self.base, probe, count))


def held(placed: Placed, seconds: float) -> Held | None:
    """The plan as what is there; None without one."""
    if placed.plan is None:
        return None
    again = place(keeping(placed.problem, placed.plan), seconds)
    return Held(again, again.plan) if again.plan else None


def room_for(there: Held, probe: Probe, seconds: float) -> Room:
    """As many of one addition as fit at once, found by doubling and halving."""
    began = time.monotonic()
    tried = place(there.with_(probe, 1), left(seconds, began))
    too_many = min(probe.most, receptacles_for(there, probe, tried)) + 1
    best: Placed | None = None
    fits, count, step = 0, 1, 1
    while True:
        if tried.plan:
            best, fits, step = tried, count, step * 2
        else:
            too_many, step = count, max((count - fits) // 2, 1)
        if fits + 1 >= too_many:
            break
        count = min(fits + step, too_many - 1)
        tried = place(there.with_(probe, count), left(seconds, began))
    if fits == probe.most:
        return Room(probe, fits, counted=True, placed=best, why_no_more="")
    if count == too_many and tried.status is Status.UNKNOWN:
        return Room(probe, fits, counted=False, placed=best, why_no_more="")
    return Room(
        probe, fits, counted=True, placed=best, why_no_more=why_not(there, probe, fits, best)
    )


def receptacles_for(there: Held, probe: Probe, tried: Placed) -> int:
    """
    How many of it there are receptacles for.

    Parts that bring receptacles of their own kind may carry one another: nothing but what is asked
    for bounds those.
    """
    first, each = probe.parts[0]
    if any(one.form == first.plug.form for part, _ in probe.parts for one in part.receptacles):
        return probe.most
    name = next(item.id for item in tried.problem.items if item.id not in there.base.item)
    return len({seat.site for seat in tried.seating.by_item.get(name, [])}) // each


def why_not(there: Held, probe: Probe, fits: int, best: Placed | None) -> str:
    """What stands in the way of one more, beside those that fit."""
    problem = there.with_(probe, fits + 1)
    seating, clauses = state_all(problem)
    stated = Placed(problem, seating, clauses, Status.IMPOSSIBLE)
    plan = best.plan if best and best.plan else there.plan
    seated = {seat.item for seat in plan.seats}
    out = [item.id for item in problem.items if item.id not in seated]
    for found in obstacles(stated, plan, out).values():
        if found.rule:
            return str(found)
    return "each of its parts would fit, but not all of them together"


def room_view(there: Held, room: Room) -> RoomView:
    """One addition, told against the plan it is added to."""
    placed = room.placed
    plan = placed.plan if placed else None
    if placed is None or plan is None:
        return nothing(room)
    known = {fact.id for fact in there.plan.facts}
    added_seats = [*seats_of_new(there.base, plan)]
    new = {seat.item for seat in added_seats}
    moves = [stage for stage in plan.stages if stage.stage == "moves"]
    return RoomView(
        name=room.probe.name,
        asked=room.probe.most,
        fits=room.fits,
        counted=room.counted,
        fewest_moves=all(stage.proven for stage in moves),
        seats=tuple(new_seat(placed, seat, new) for seat in added_seats),
        moves=tuple(moved(there, plan)),
        settings=tuple(set_anew(there, placed, plan)),
        worse=tuple(worse(there, placed, plan)),
        facts=tuple(fact.statement for fact in plan.facts if fact.id not in known),
        why_no_more=room.why_no_more,
        drives=room.fits * room.probe.drives,
    )


def nothing(room: Room) -> RoomView:
    """Not even one fits."""
    return RoomView(
        name=room.probe.name,
        asked=room.probe.most,
        fits=0,
        counted=room.counted,
        fewest_moves=True,
        seats=(),
        moves=(),
        settings=(),
        worse=(),
        facts=(),
        why_no_more=room.why_no_more,
        drives=0,
    )


def new_seat(placed: Placed, seat: Seat, new: Container[str]) -> NewSeatView:
    """Where one added part would go."""
    part, receptacle = (
        placed.problem.item[seat.item].part,
        placed.problem.site[seat.site].receptacle,
    )
    offer = seat.offer
    hop = offer.hops[0].rpartition("/")[2] if offer.hops else ""
    hangs_on = (offer.processor or "") + (f" via {hop}" if hop else "")
    return NewSeatView(
        item=seat.item,
        part=part.id,
        site=seat.site,
        label=printed(receptacle),
        link=links_text(seat),
        hangs_on=hangs_on if seat.links else "",
        inside=placed.problem.site[seat.site].owner in new,
    )


def links_text(seat: Seat) -> str:
    """The link in short; several alive ones counted."""
    alive = [link for link in seat.links if link.lanes]
    if not alive:
        return "power only"
    if len(seat.links) > 1:
        return f"{len(alive)} of {len(seat.links)} live"
    return link_text(alive[0].bus, alive[0].generation, alive[0].lanes)


def moved(there: Held, plan: Plan) -> Iterator[MoveView]:
    """Parts that are there and would have to go elsewhere."""
    for seat in plan.seats:
        before = there.base.today.get(seat.item)
        if before is not None and before != seat.site:
            yield MoveView(seat.item, before, seat.site)


def set_anew(there: Held, placed: Placed, plan: Plan) -> Iterator[str]:
    """Lane groups in use that would be divided otherwise than now."""
    before = {where(one): one for one in settings(there.base, there.plan)}
    used = {seat.offer.group for seat in plan.seats}
    several = len(there.base.rigs) > 1
    for one in settings(placed.problem, plan):
        old = before.get(where(one))
        if (
            old
            and old.division.text != one.division.text
            and f"{one.machine}/{one.lane_group}" in used
            and one.division.how != "presence"
        ):
            machine = f"{one.machine}: " if several else ""
            yield f"{machine}{one.division.text} (now {old.division.text})"


def where(setting: SettingToChoose) -> tuple[str, str]:
    """The lane group a setting is of."""
    return setting.machine, setting.lane_group


def worse(there: Held, placed: Placed, plan: Plan) -> Iterator[str]:
    """What is short with it and not without it; parts that lose the processor to be near to."""
    before = {who: amount for who, amount, _ in short(there.placed, there.plan)}
    for who, amount, _ in short(placed, plan):
        more = amount - before.get(who, 0)
        if more > 0:
            yield f"{link_name(who)}: {gb_s(more)} GB/s short" + (
                " beyond what it is now" if who in before else ""
            )
    near = {who for who, _, _ in elsewhere(there.placed, there.plan)}
    for who, _, text in elsewhere(placed, plan):
        if who not in near:
            yield text


def headroom_of(
    problem: Problem,
    probes: Sequence[Probe],
    outlooks: Sequence[Outlook],
    seconds: float,
    tell: Tell,
    stop: Stop,
) -> HeadroomView:
    """
    What could still be added; without a plan nothing is tried.

    At most so many seconds for the plan and for each addition. Once `stop` is asked for, the rest
    is said not to have been tried.
    """
    every = [*probes, *(one.probe for one in outlooks)]
    status, plan = Status.UNKNOWN, None
    found: list[RoomView] = []
    try:
        placed = place(problem, seconds, tell)
        status, plan = placed.status, placed.plan
        for room in rooms(placed, every, seconds, tell, stop):
            found.append(room)  # noqa: PERF402 - what came before an interrupt is kept
    except KeyboardInterrupt:
        stop.asked = True
    return HeadroomView(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        status=status.value,
        headline=headline(status, plan),
        rooms=tuple(found),
        outlook=futures(outlooks, found[len(probes) :]) if outlooks and plan else None,
        untried=tuple(probe.name for probe in every[len(found) :]) if plan else (),
    )


def rooms(
    placed: Placed, probes: Sequence[Probe], seconds: float, tell: Tell, stop: Stop
) -> Iterator[RoomView]:
    """Each addition on its own beside the plan, until there is no plan or no more is wanted."""
    there = None if stop.asked else held(placed, seconds)
    for number, probe in enumerate(probes):
        if there is None or stop.asked:
            return
        tell(probe.name, number, len(probes))
        yield room_view(there, room_for(there, probe, seconds))


def futures(outlooks: Sequence[Outlook], found: Sequence[RoomView]) -> OutlookView:
    """Which futures fit; what was not tried stays open."""
    fits: dict[str, bool | None] = {one.name: None for one in outlooks}
    for room in found:
        fits[room.name] = bool(room.fits) if room.fits or room.counted else None
    return outlook_of(outlooks, fits)
