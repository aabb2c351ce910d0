"""From what fits to what is shown of it."""

from __future__ import annotations

from collections.abc import Container, Iterator

from slotfit.choose.additions import seats_of_new
from slotfit.choose.causes import elsewhere, link_name, short
from slotfit.choose.headroom import Held, Room
from slotfit.model.placed import Placed
from slotfit.model.plan import Plan
from slotfit.model.seat import Seat
from slotfit.render.compare.headroom_view import MoveView, NewSeatView, RoomView
from slotfit.render.view import SettingView
from slotfit.render.view_of import settings
from slotfit.render.words import gb_s, link_text


def room_view(there: Held, room: Room) -> RoomView:
    """One addition, told against the plan it is added to."""
    placed = room.placed
    plan = placed.answer.plan if placed else None
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
        label=receptacle.label or receptacle.id,
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
            and old.text != one.text
            and f"{one.machine}/{one.group}" in used
            and one.how != "presence"
        ):
            machine = f"{one.machine}: " if several else ""
            yield f"{machine}{one.text} (now {old.text})"


def where(setting: SettingView) -> tuple[str, str]:
    """The lane group a setting is of."""
    return setting.machine, setting.group


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
