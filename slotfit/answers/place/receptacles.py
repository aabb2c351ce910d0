"""Where things are in the finished plan: rows, receptacles, lane groups, bodies."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
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
    Step,
)
from slotfit.engine.upstream import board_upstream, nested_openings
from slotfit.hardware.room import positions
from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.dark import dark
from slotfit.model.keys import GroupKey
from slotfit.model.part import ReceptacleSpec
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem, Receptacle
from slotfit.model.seat import Seat, Upstream
from slotfit.standards.forms import FORMS, WITHOUT_LANES


def rows_of(problem: Problem, plan: Plan) -> Iterator[PlannedRow]:
    """Every slot row: the boards' and those of seated risers."""
    for machine in problem.machines:
        chassis = machine.chassis
        for number, row in enumerate(machine.board.rows):
            openings = chassis.openings if chassis and not number else None
            length = chassis.card_length_mm if chassis else None
            other = chassis.room_at if chassis and not number else ()
            at = ((place, mm) for one in other if (mm := one.length_mm) for place in one.at)
            yield PlannedRow(machine.id, row.id, row.positions, openings, length, tuple(sorted(at)))
    for seat in plan.seats:
        spec = problem.part[seat.part].spec
        for name in dict.fromkeys(r.row for r in spec.receptacles if r.row):
            yield PlannedRow(seat.part, name, spec.row_positions, None, None)


def groups_of(problem: Problem, plan: Plan) -> Iterator[PlannedGroup]:
    """Every lane group with the arrangement in force."""
    for key, group in problem.lane_groups.items():
        way = problem.arrangement(key, plan.arrangements)
        machine = problem.machine[key.machine]
        processor = machine.processor_of(group.from_)
        yield PlannedGroup(
            machine=machine.id,
            id=group.id,
            lanes_from=group.from_,
            processor=processor,
            fitted=processor is None or processor in machine.fitted,
            generation=group.generation,
            bus=group.bus,
            choice=len(group.arrangements) > 1 and way.chosen_by != "fixed",
            division=division(problem, plan, key),
        )


def division(problem: Problem, plan: Plan, key: GroupKey) -> Division:
    """How the plan divides a lane group, and what has to be done for it."""
    group, way = problem.lane_groups[key], problem.arrangement(key, plan.arrangements)
    now, step = problem.arrangement_today(key), step_for(problem, plan, key)
    by_itself = "what the board does by itself: " if step and not group.by_hand(way) else ""
    return Division(
        text=by_itself + setting_text(way),
        arrangement=way.id,
        how=way.chosen_by,
        step=step,
        now=setting_text(now) if now else None,
        gives=tuple((name, segments_text(given)) for name, given in way.gives.items()),
        proof=way.proof,
    )


def step_for(problem: Problem, plan: Plan, key: GroupKey) -> Step:
    """What to do about a lane group, by what is chosen there today."""
    group, way = problem.lane_groups[key], problem.arrangement(key, plan.arrangements)
    now = problem.arrangement_today(key)
    hand = any(map(group.by_hand, group.arrangements if now is None else (way, now)))
    if not hand or len(group.arrangements) == 1:
        return ""
    hangs_on_it = any(
        seat.upstream.group == key and not leaves_open(group, seat.arrangements)
        for seat in plan.seats
    )
    if now is not None and not alike(way, now):
        return "set"
    return "" if not hangs_on_it else "must be" if now is None else "stays"


def alike(way: Arrangement, now: Arrangement) -> bool:
    """Whether they are chosen alike: of one label in two lane orders nobody chooses the order."""
    return way.id == now.id or (way.setting is not None and way.setting == now.setting)


def leaves_open(group: LaneGroup, arrangements: Sequence[str]) -> bool:
    """Whether a seat under these arrangements is there however the group is divided."""
    ways = {way.id for way in group.arrangements if way.proof != "refuted"}
    return not arrangements or ways <= set(arrangements)


@dataclass(frozen=True, slots=True)
class Taken:
    """Who sits where: by part, by receptacle, and by covered position."""

    seat_of: Mapping[str, Seat]
    part_in: Mapping[str, str]
    covers: Mapping[tuple[str, str, int], str]


def receptacles_of(problem: Problem, plan: Plan) -> Iterator[PlannedReceptacle]:
    """Every receptacle of the boards and of the seated parts, in the order of the file."""
    taken = Taken(
        {seat.part: seat for seat in plan.seats},
        {seat.receptacle: seat.part for seat in plan.seats},
        {place: seat.part for seat in plan.seats for place in positions(problem, seat)},
    )
    for receptacle in problem.receptacles:
        if receptacle.on_board or receptacle.owner in taken.seat_of:
            yield planned_receptacle(problem, plan, taken, receptacle)


def planned_receptacle(
    problem: Problem, plan: Plan, taken: Taken, receptacle: Receptacle
) -> PlannedReceptacle:
    """One receptacle."""
    upstream, way = upstream_at(problem, plan, taken, receptacle)
    spec = receptacle.spec
    group = problem.machine[upstream.machine].group_of.get(spec.id) if receptacle.on_board else None
    state, why = state_of(problem, taken, receptacle, upstream)
    return PlannedReceptacle(
        site=receptacle.id,
        id=spec.id,
        label=printed(spec),
        machine=upstream.machine,
        owner=bearer(problem, receptacle),
        on_board=receptacle.on_board,
        form=spec.form,
        form_title=FORMS[spec.form].title,
        width=spec.width,
        open_end=spec.open_end,
        row=spec.row,
        position=spec.position,
        group=upstream.group.group if upstream.group else None,
        from_=group.from_ if group else None,
        processor=upstream.processor,
        generation=upstream.arrives,
        wired=most_lanes(group, spec.id) if group else sum(s.lanes for s in upstream.segments),
        segments=tuple((s.start, s.lanes, s.bus) for s in upstream.segments),
        lanes_known=way is None or way.proof is not None,
        gets=lanes_text(upstream),
        item=taken.part_in.get(receptacle.id),
        state=state,
        why=why,
        power_w=spec.power_w,
        length_mm=spec.length_mm,
    )


def upstream_at(
    problem: Problem, plan: Plan, taken: Taken, receptacle: Receptacle
) -> tuple[Upstream, Arrangement | None]:
    """What the receptacle offers in this plan, and by which arrangement of its own group."""
    if not receptacle.on_board:
        owner = taken.seat_of[receptacle.owner]
        return nested_openings(problem.part[receptacle.owner], receptacle, [owner])[
            0
        ].upstream, None
    machine = problem.machine[receptacle.owner]
    group = machine.group_of.get(receptacle.spec.id)
    if group is None:
        return Upstream(
            machine.id, root=receptacle.id, dark=dark("no lanes", receptacle=receptacle.id)
        ), None
    way = problem.arrangement(GroupKey(machine.id, group.id), plan.arrangements)
    return board_upstream(machine, receptacle, group, way), way


def most_lanes(group: LaneGroup, receptacle: str) -> int:
    """Most lanes that any arrangement of the group brings to the receptacle."""
    return max(
        sum(width if isinstance(width, int) else 1 for width in way.gives.get(receptacle, ()))
        for way in group.arrangements
    )


def lanes_text(upstream: Upstream) -> str:
    """`gen 4 x4+x4`, `SATA`, `no lanes`."""
    if not upstream.segments:
        return "no lanes"
    bus = upstream.segments[0].bus
    if bus == "usb":
        return "USB"
    if bus != "pcie":
        return link_text(bus, upstream.arrives, sum(s.lanes for s in upstream.segments))
    widths = [s.lanes if s.bus == "pcie" else s.bus for s in upstream.segments]
    return f"{speed_text(upstream.arrives)} {segments_text(widths)}"


def state_of(
    problem: Problem, taken: Taken, receptacle: Receptacle, upstream: Upstream
) -> tuple[str, str]:
    """The receptacle's state, and why."""
    spec = receptacle.spec
    if receptacle.id in taken.part_in:
        return "taken", ""
    cover = taken.covers.get((*receptacle.row, spec.position)) if receptacle.row else None
    if cover:
        return "covered", f"{cover} covers it"
    named = spec.blocked_by if isinstance(spec, BoardReceptacle) else ()
    in_the_way = (problem.board_receptacle[receptacle.owner, name].id for name in named)
    blocker = next((taken.part_in[one] for one in in_the_way if one in taken.part_in), None)
    if blocker:
        return "blocked", f"{blocker} is in its way"
    if upstream.absent:
        return without_processor(spec, f"{upstream.absent} is not fitted")
    if upstream.segments or spec.form in WITHOUT_LANES:
        return "free", ""
    if receptacle.on_board and spec.id not in problem.machine[receptacle.owner].group_of:
        return "free", "power and room only"
    return "no lanes", str(upstream.dark or "")


def without_processor(receptacle: ReceptacleSpec, said: str) -> tuple[str, str]:
    """A receptacle whose processor is not fitted may still have power."""
    powered = not isinstance(receptacle, BoardReceptacle) or receptacle.powered_without_processor
    if powered is None:
        return "not known", f"{said}; nobody has said whether it has power"
    return "no lanes" if powered else "unpowered", said


def part_body(problem: Problem, plan: Plan, seat: Seat) -> PartBody:
    """What one seated part takes up."""
    part = problem.part[seat.part]
    spec = part.spec
    movers = [
        other.part for other in plan.seats if problem.receptacle[other.receptacle].owner == part.id
    ]
    added = sum(problem.part[name].spec.adds_length_mm for name in movers)
    return PartBody(
        plug=spec.plug.form,
        plug_width=spec.plug.width,
        thickness=spec.thickness,
        length_mm=None if spec.length_mm is None else spec.length_mm + added,
        height_mm=spec.height_mm,
        bracket=spec.bracket,
        cooling=spec.cooling,
        reach_mm=spec.reach_mm,
        companion_of=part.companion_of,
    )
