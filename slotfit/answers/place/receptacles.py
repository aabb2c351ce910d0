"""Where things are in the finished plan: rows, receptacles, lane groups, bodies."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from slotfit.answers.names import (
    bearer,
    link_text,
    printed,
    segments_text,
    setting_text,
    speed_text,
)
from slotfit.answers.place.answer import (
    Division,
    PartBody,
    PlannedGroup,
    PlannedReceptacle,
    PlannedRow,
)
from slotfit.engine.offers import board_offer, nested_openings
from slotfit.hardware.room import positions
from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.dark import dark
from slotfit.model.part import Receptacle
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem, Rig, Site
from slotfit.model.seat import Offer, Seat
from slotfit.standards.forms import FORMS


def rows_of(problem: Problem, plan: Plan) -> Iterator[PlannedRow]:
    """Every slot row: the boards' and those of seated risers."""
    for rig in problem.rigs:
        chassis = rig.chassis
        for number, row in enumerate(rig.board.rows):
            openings = chassis.openings if chassis and not number else None
            length = chassis.card_length_mm if chassis else None
            yield PlannedRow(rig.id, row.id, row.positions, openings, length)
    for seat in plan.seats:
        part = problem.item[seat.item].part
        for name in dict.fromkeys(r.row for r in part.receptacles if r.row):
            yield PlannedRow(seat.item, name, part.row_positions, None, None)


def groups_of(problem: Problem, plan: Plan) -> Iterator[PlannedGroup]:
    """Every lane group with the arrangement in force."""
    for rig in problem.rigs:
        for group in rig.board.lane_groups:
            way = way_in_force(rig, group, plan)
            processor = rig.processor_of(group.from_)
            yield PlannedGroup(
                machine=rig.id,
                id=group.id,
                lanes_from=group.from_,
                processor=processor,
                fitted=processor is None or processor in rig.fitted,
                generation=group.generation,
                bus=group.bus,
                choice=len(group.arrangements) > 1 and way.chosen_by != "fixed",
                division=division(group, way),
            )


def division(group: LaneGroup, way: Arrangement) -> Division:
    """One arrangement of a lane group."""
    return Division(
        text=setting_text(way),
        how=way.chosen_by,
        changes=way is not group.arrangements[0],
        gives=tuple((name, segments_text(given)) for name, given in way.gives.items()),
        proof=way.proof,
    )


def way_in_force(rig: Rig, group: LaneGroup, plan: Plan) -> Arrangement:
    """The plan's arrangement of the group; what the board does by itself if the plan has none."""
    chosen = plan.arrangements.get(f"{rig.id}/{group.id}")
    return next((way for way in group.arrangements if way.id == chosen), group.arrangements[0])


@dataclass(frozen=True, slots=True)
class Taken:
    """Who sits where: by item, by site, and by covered position."""

    seat_of: Mapping[str, Seat]
    item_in: Mapping[str, str]
    covers: Mapping[tuple[str, str, int], str]


def receptacles_of(problem: Problem, plan: Plan) -> Iterator[PlannedReceptacle]:
    """Every receptacle of the boards and of the seated parts, in the order of the file."""
    taken = Taken(
        {seat.item: seat for seat in plan.seats},
        {seat.site: seat.item for seat in plan.seats},
        {place: seat.item for seat in plan.seats for place in positions(problem, seat)},
    )
    for site in problem.sites:
        if site.on_board or site.owner in taken.seat_of:
            yield planned_receptacle(problem, plan, taken, site)


def planned_receptacle(problem: Problem, plan: Plan, taken: Taken, site: Site) -> PlannedReceptacle:
    """One receptacle."""
    offer, way = offer_at(problem, plan, taken, site)
    receptacle = site.receptacle
    group = problem.rig[offer.machine].group_of.get(receptacle.id) if site.on_board else None
    state, why = state_of(problem, taken, site, offer)
    return PlannedReceptacle(
        site=site.id,
        id=receptacle.id,
        label=printed(receptacle),
        machine=offer.machine,
        owner=bearer(problem, site),
        on_board=site.on_board,
        form=receptacle.form,
        form_title=FORMS[receptacle.form].title,
        width=receptacle.width,
        open_end=receptacle.open_end,
        row=receptacle.row,
        position=receptacle.position,
        group=offer.group.partition("/")[2] if offer.group else None,
        from_=group.from_ if group else None,
        processor=offer.processor,
        generation=offer.generation,
        wired=most_lanes(group, receptacle.id) if group else sum(s.lanes for s in offer.segments),
        segments=tuple((s.start, s.lanes, s.bus) for s in offer.segments),
        lanes_known=way is None or way.proof is not None,
        gets=lanes_text(offer),
        item=taken.item_in.get(site.id),
        state=state,
        why=why,
        power_w=receptacle.power_w,
        length_mm=receptacle.length_mm,
    )


def offer_at(
    problem: Problem, plan: Plan, taken: Taken, site: Site
) -> tuple[Offer, Arrangement | None]:
    """What the receptacle offers in this plan, and by which arrangement of its own group."""
    if not site.on_board:
        owner = taken.seat_of[site.owner]
        return nested_openings(problem.item[site.owner], site, [owner])[0].offer, None
    rig = problem.rig[site.owner]
    group = rig.group_of.get(site.receptacle.id)
    if group is None:
        return Offer(rig.id, root=site.id, dark=dark("no lanes", receptacle=site.id)), None
    way = way_in_force(rig, group, plan)
    return board_offer(rig, site, group, way), way


def most_lanes(group: LaneGroup, receptacle: str) -> int:
    """Most lanes that any arrangement of the group brings to the receptacle."""
    return max(
        sum(width if isinstance(width, int) else 1 for width in way.gives.get(receptacle, ()))
        for way in group.arrangements
    )


def lanes_text(offer: Offer) -> str:
    """`16 GT/s x4+x4`, `SATA`, `no lanes`."""
    if not offer.segments:
        return "no lanes"
    bus = offer.segments[0].bus
    if bus == "usb":
        return "USB"
    if bus != "pcie":
        return link_text(bus, offer.generation, sum(s.lanes for s in offer.segments))
    widths = [s.lanes if s.bus == "pcie" else s.bus for s in offer.segments]
    return f"{speed_text(offer.generation)} {segments_text(widths)}"


def state_of(problem: Problem, taken: Taken, site: Site, offer: Offer) -> tuple[str, str]:
    """The receptacle's state, and why."""
    receptacle = site.receptacle
    if site.id in taken.item_in:
        return "taken", ""
    cover = taken.covers.get((*site.row, receptacle.position)) if site.row else None
    if cover:
        return "covered", f"{cover} covers it"
    named = receptacle.blocked_by if isinstance(receptacle, BoardReceptacle) else ()
    in_the_way = (site.id.removesuffix(receptacle.id) + name for name in named)
    blocker = next((taken.item_in[one] for one in in_the_way if one in taken.item_in), None)
    if blocker:
        return "blocked", f"{blocker} is in its way"
    if offer.absent:
        return without_processor(receptacle, f"{offer.absent} is not fitted")
    if offer.segments or receptacle.form in ("cooling-mount", "opening"):
        return "free", ""
    if site.on_board and receptacle.id not in problem.rig[site.owner].group_of:
        return "free", "power and room only"
    return "dark", str(offer.dark or "")


def without_processor(receptacle: Receptacle, said: str) -> tuple[str, str]:
    """A receptacle whose processor is not fitted may still have power."""
    powered = not isinstance(receptacle, BoardReceptacle) or receptacle.powered_without_processor
    if powered is None:
        return "not known", f"{said}; nobody has said whether it has power"
    return "dark" if powered else "unpowered", said


def part_body(problem: Problem, plan: Plan, seat: Seat) -> PartBody:
    """What one seated part takes up."""
    item = problem.item[seat.item]
    part = item.part
    movers = [other.item for other in plan.seats if problem.site[other.site].owner == item.id]
    added = sum(problem.item[name].part.adds_length_mm for name in movers)
    return PartBody(
        plug=part.plug.form,
        plug_width=part.plug.width,
        thickness=part.thickness,
        length_mm=None if part.length_mm is None else part.length_mm + added,
        height_mm=part.height_mm,
        bracket=part.bracket,
        cooling=part.cooling,
        reach_mm=part.reach_mm,
        companion_of=item.companion_of,
    )
