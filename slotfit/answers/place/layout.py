"""Where things are in the finished plan: rows, receptacles, lane groups."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slotfit.answers.text_layout import link_text, segments_text
from slotfit.engine.offers import board_offer, nested_openings
from slotfit.hardware.room import positions
from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.dark import dark
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem, Rig, Site
from slotfit.model.seat import Offer, Seat
from slotfit.standards.forms import FORMS


@dataclass(frozen=True, slots=True)
class RowView:
    """A slot row: on a board at the rear edge, or on a riser."""

    owner: str
    """Machine id or item id."""
    machine: str
    id: str
    positions: int | None
    """Slot pitches; None: not said."""
    openings: int | None
    """Bracket openings of the chassis beside it, from position 0 on; None: not said."""
    length_mm: float | None
    """Room for a card's length in the chassis; None: not said."""


@dataclass(frozen=True, slots=True)
class GroupView:
    """One lane group with the arrangement that the plan chooses."""

    machine: str
    id: str
    from_: str | None
    """Processor or hub that the lanes come from; None: not known."""
    processor: str | None
    fitted: bool
    generation: int | None
    bus: str
    gives: tuple[tuple[str, str], ...]
    """Receptacle id -> its segments (`x4+x4`)."""
    setting: str | None
    """What to choose; None where there is nothing to choose."""
    how: str
    """setting, presence, jumper or fixed."""
    changes: bool
    proof: str | None


@dataclass(frozen=True, slots=True)
class ReceptacleView:
    """One receptacle of a board, or of a part that has a seat."""

    site: str
    id: str
    label: str
    machine: str
    owner: str
    on_board: bool
    form: str
    form_title: str
    width: int | None
    """Connector size in lanes."""
    open_end: bool | None
    row: str | None
    position: int
    group: str | None
    from_: str | None
    processor: str | None
    generation: int | None
    wired: int | None
    """Most lanes that any arrangement brings here; None: not known."""
    segments: tuple[tuple[int, int, str], ...]
    """First lane, lanes, bus: what arrives under the plan's arrangement."""
    lanes_known: bool
    """False: nobody has said that these lanes are there."""
    gets: str
    """`16 GT/s x16`, `no lanes`."""
    item: str | None
    """What sits in it."""
    state: str
    """taken | free | covered | blocked | dark | unpowered | not known"""
    why: str
    """The reason for the state, as a clause; empty if there is nothing to say."""
    power_w: float | None
    length_mm: float | None
    """Its own room for a card's length; None: not said."""


@dataclass(frozen=True, slots=True)
class BodyView:
    """What a part takes up; None: not said."""

    plug: str
    """Form of its plug."""
    plug_width: int | None
    thickness: int | None
    """Slot pitches, its own included."""
    length_mm: float | None
    """With the air mover that the plan mounts on it."""
    height_mm: float | None
    bracket: str | None
    cooling: str | None
    reach_mm: float | None
    """Length of a cable."""
    companion_of: str | None
    """This is a further connection of that item."""


def rows_of(problem: Problem, plan: Plan) -> Iterator[RowView]:
    """Every slot row: the boards' and those of seated risers."""
    for rig in problem.rigs:
        chassis = rig.chassis
        for number, row in enumerate(rig.board.rows):
            yield RowView(
                owner=rig.id,
                machine=rig.id,
                id=row.id,
                positions=row.positions,
                openings=chassis.openings if chassis and not number else None,
                length_mm=chassis.card_length_mm if chassis else None,
            )
    for seat in plan.seats:
        part = problem.item[seat.item].part
        named = dict.fromkeys(r.row for r in part.receptacles if r.row)
        for name in named:
            yield RowView(seat.item, seat.offer.machine, name, part.row_positions, None, None)


def groups_of(problem: Problem, plan: Plan) -> Iterator[GroupView]:
    """Every lane group with the arrangement in force."""
    for rig in problem.rigs:
        for group in rig.board.lane_groups:
            way = way_in_force(rig, group, plan)
            processor = rig.processor_of(group.from_)
            choice = len(group.arrangements) > 1 and way.chosen_by != "fixed"
            yield GroupView(
                machine=rig.id,
                id=group.id,
                from_=group.from_,
                processor=processor,
                fitted=processor is None or processor in rig.fitted,
                generation=group.generation,
                bus=group.bus,
                gives=tuple((name, segments_text(given)) for name, given in way.gives.items()),
                setting=(way.setting or str(way.id)) if choice else None,
                how=way.chosen_by,
                changes=way is not group.arrangements[0],
                proof=way.proof,
            )


def way_in_force(rig: Rig, group: LaneGroup, plan: Plan) -> Arrangement:
    """The plan's arrangement of the group; what the board does by itself if the plan has none."""
    chosen = plan.arrangements.get(f"{rig.id}/{group.id}")
    return next((way for way in group.arrangements if way.id == chosen), group.arrangements[0])


@dataclass(frozen=True, slots=True)
class Taken:
    """Who sits where: by item, by site, and by covered position."""

    seat_of: dict[str, Seat]
    item_in: dict[str, str]
    covers: dict[tuple[str, str, int], str]


def taken_by(problem: Problem, plan: Plan) -> Taken:
    """Indexes over the plan's seats."""
    return Taken(
        {seat.item: seat for seat in plan.seats},
        {seat.site: seat.item for seat in plan.seats},
        {place: seat.item for seat in plan.seats for place in positions(problem, seat)},
    )


def receptacles_of(problem: Problem, plan: Plan) -> Iterator[ReceptacleView]:
    """Every receptacle of the boards and of the seated parts, in the order of the file."""
    taken = taken_by(problem, plan)
    for site in problem.sites:
        if site.on_board or site.owner in taken.seat_of:
            yield receptacle_view(problem, plan, taken, site)


def receptacle_view(problem: Problem, plan: Plan, taken: Taken, site: Site) -> ReceptacleView:
    """One receptacle."""
    offer, way = offer_at(problem, plan, taken, site)
    receptacle, rig = site.receptacle, problem.rig[offer.machine]
    group = rig.group_of.get(receptacle.id) if site.on_board else None
    wired = most_lanes(group, receptacle.id) if group else None
    state, why = state_of(problem, taken, site, offer)
    return ReceptacleView(
        site=site.id,
        id=receptacle.id,
        label=receptacle.label or receptacle.id,
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
        wired=wired if wired is not None else sum(s.lanes for s in offer.segments),
        segments=tuple((s.start, s.lanes, s.bus) for s in offer.segments),
        lanes_known=way is None or way.proof is not None,
        gets=lanes_text(offer),
        item=taken.item_in.get(site.id),
        state=state,
        why=why,
        power_w=receptacle.power_w,
        length_mm=receptacle.length_mm,
    )


def bearer(problem: Problem, site: Site) -> str:
    """The machine or the part one can touch; further connections of a part are that part."""
    return site.owner if site.on_board else problem.item[site.owner].body


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
    speed = link_text("pcie", offer.generation, 1).removesuffix(" x1")
    return f"{speed} {segments_text(widths)}"


def state_of(problem: Problem, taken: Taken, site: Site, offer: Offer) -> tuple[str, str]:
    """The receptacle's state, and why."""
    receptacle = site.receptacle
    if site.id in taken.item_in:
        return "taken", ""
    cover = taken.covers.get((*site.row, receptacle.position)) if site.row else None
    if cover:
        return "covered", f"{cover} covers it"
    blocker = blocked_by(site, taken)
    if blocker:
        return "blocked", f"{blocker} is in its way"
    if offer.absent:
        return without_processor(receptacle, offer.absent)
    if offer.segments or receptacle.form in ("cooling-mount", "opening"):
        return "free", ""
    if site.on_board and receptacle.id not in problem.rig[site.owner].group_of:
        return "free", "power and room only"
    return "dark", str(offer.dark or "")


def blocked_by(site: Site, taken: Taken) -> str | None:
    """The part in a receptacle that is in this one's way."""
    receptacle = site.receptacle
    named = receptacle.blocked_by if isinstance(receptacle, BoardReceptacle) else ()
    prefix = site.id.removesuffix(receptacle.id)
    return next((taken.item_in[prefix + n] for n in named if prefix + n in taken.item_in), None)


def without_processor(receptacle: object, absent: str) -> tuple[str, str]:
    """A receptacle whose processor is not fitted may still have power."""
    powered = receptacle.powered_without_processor if isinstance(receptacle, BoardReceptacle) else 1
    if powered is None:
        return "not known", f"{absent} is not fitted; nobody has said whether it has power"
    if powered:
        return "dark", f"{absent} is not fitted"
    return "unpowered", f"{absent} is not fitted"


def body_view(problem: Problem, plan: Plan, seat: Seat) -> BodyView:
    """What one seated part takes up."""
    item = problem.item[seat.item]
    part = item.part
    movers = [other.item for other in plan.seats if problem.site[other.site].owner == item.id]
    added = sum(problem.item[name].part.adds_length_mm for name in movers)
    return BodyView(
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
