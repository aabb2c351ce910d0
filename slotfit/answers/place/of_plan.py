"""From a plan to its view."""

from __future__ import annotations

from collections.abc import Mapping

from slotfit.answers.place.answer import (
    RETIRED,
    SCHEMA_VERSION,
    FactView,
    LeftOutView,
    LinkView,
    MachineView,
    SeatView,
    SettingView,
    StageView,
    View,
)
from slotfit.answers.place.budget import free_of, hops_of, power_of
from slotfit.answers.place.cautions import cautions_for
from slotfit.answers.place.layout import body_view, groups_of, receptacles_of, rows_of
from slotfit.answers.place.why_there import reason_of
from slotfit.answers.text_layout import gb_s, link_text, segments_text
from slotfit.engine.costs import far
from slotfit.engine.referee import crowded
from slotfit.hardware.flow import carries as link_carries
from slotfit.hardware.flow import could_carry, demand_of, met, serving, short_by_link
from slotfit.hardware.room import positions
from slotfit.listing import natural
from slotfit.model.board import Arrangement, LaneGroup
from slotfit.model.plan import Answer, Plan, StageValue, Status
from slotfit.model.problem import Item, Problem, Rig
from slotfit.model.reason import Doubt
from slotfit.model.seat import Seat, Seating, Trained

SAYS = {
    "optional-parts": (
        "every optional part is placed",
        "optional parts of weight 1 are left out",
        "optional parts of weight {} are left out",
    ),
    "dark-endpoints": (
        "every endpoint comes alive",
        "1 endpoint stays dark",
        "{} endpoints stay dark",
    ),
    "bandwidth": ("every demand is met", "{} GB/s short of demand", "{} GB/s short of demand"),
    "unproven-facts": (
        "rests on nothing unproven",
        "rests on 1 fact nobody has proven",
        "rests on {} facts nobody has proven",
    ),
    "locality": (
        "every part is near the processor it should be near",
        "1 part hangs on another processor than it should",
        "{} parts hang on another processor than they should",
    ),
    "cooling": (
        "no card takes another's air",
        "1 gap where a neighbour takes the air",
        "{} gaps where a neighbour takes the air",
    ),
    "moves": ("nothing moves from where it is today", "1 part moves", "{} parts move"),
    "reserve": (
        "no lanes of the board are taken",
        "receptacles that could carry {} GB/s are taken",
        "receptacles that could carry {} GB/s are taken",
    ),
}
"""What a value of 0, of 1, and of more is called."""

HEADLINES = {
    Status.PROVEN: "Everything required is placed, and no better plan exists",
    Status.UNPROVEN: "Everything required is placed; time ran out before it was proven best",
    Status.IMPOSSIBLE: "No plan exists: the required parts do not all fit",
    Status.UNKNOWN: "Time ran out before a plan was found; none is ruled out either",
}


def headline(status: Status, plan: Plan) -> str:
    """The answer in one sentence, without its full stop."""
    text = HEADLINES[status]
    if status is Status.PROVEN and plan.facts:
        one = len(plan.facts) == 1
        text += f"; it rests on {len(plan.facts)} fact{'' if one else 's'} nobody has proven"
    return text


def stage_view(problem: Problem, stage: StageValue) -> StageView:
    """One preference in words."""
    amount = gb_s(stage.value) if stage.stage == "bandwidth" else str(stage.value)
    text = SAYS[stage.stage][min(stage.value, 2)].format(amount)
    if stage.stage == "moves" and not problem.today:
        text = "nothing is said of today's layout"
    if not stage.proven:
        text += f" (not proven: {stage.bound} may be possible)"
    return StageView(stage.stage, stage.value, stage.bound, stage.unit, text)


def view_of(problem: Problem, seating: Seating, answer: Answer) -> View:
    """Everything an answer shows. Without a plan only the machines and the status are filled."""
    plan = answer.plan or Plan((), {}, tuple(item.id for item in problem.items), (), ())
    homes = {seat.item: seat.site for seat in plan.seats}
    seats = sorted(plan.seats, key=lambda seat: seat_order(problem, homes, seat))
    receptacles = tuple(receptacles_of(problem, plan))
    return View(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        status=answer.status.value,
        headline=headline(answer.status, plan),
        seconds=round(answer.seconds, 3),
        machines=tuple(machine_view(rig) for rig in problem.rigs),
        seats=tuple(seat_view(problem, seating, plan, seat) for seat in seats),
        settings=tuple(settings(problem, plan)),
        free=tuple(free_of(receptacles)) if answer.plan else (),
        left_out=tuple(left_out(problem, seating, plan)),
        facts=tuple(fact_view(plan, fact) for fact in plan.facts),
        hops=tuple(hops_of(problem, plan)),
        power=tuple(power_of(problem, plan)),
        stages=tuple(stage_view(problem, stage) for stage in plan.stages),
        notes=tuple(dict.fromkeys(text for _, text in crowded(problem, plan))),
        cautions=() if answer.status is Status.IMPOSSIBLE else cautions_for(problem, plan.seats),
        rows=tuple(rows_of(problem, plan)),
        receptacles=receptacles,
        groups=tuple(groups_of(problem, plan)),
    )


def seat_order(problem: Problem, homes: Mapping[str, str], seat: Seat) -> tuple[object, ...]:
    """Machine by machine, slot by slot, with what is nested right below what carries it."""
    root = problem.site[seat.offer.root].receptacle
    in_row = (0, root.position) if root.row else (1, 0)
    carriers = [homes.get(carrier, carrier) for carrier in reversed(seat.offer.carriers)]
    return (seat.offer.machine, in_row, *(natural(site) for site in [*carriers, seat.site]))


def machine_view(rig: Rig) -> MachineView:
    """One machine."""
    board, chassis = rig.board, rig.chassis
    return MachineView(
        id=rig.id,
        name=rig.machine.name or rig.id,
        board=board.id,
        board_name=board.name or board.id,
        invented=board.invented,
        processors=tuple((p.id, p.label or p.id, p.id in rig.fitted) for p in board.processors),
        hubs=tuple(
            (hub.id, hub.from_, link_text("pcie", hub.generation, hub.lanes)) for hub in board.hubs
        ),
        chassis=(chassis.name or chassis.id) if chassis else None,
        air_lfm=rig.machine.airflow_lfm
        if rig.machine.airflow_lfm is not None
        else (chassis.airflow_lfm if chassis else None),
    )


def seat_view(problem: Problem, seating: Seating, plan: Plan, seat: Seat) -> SeatView:
    """One seated part."""
    item, site, offer = problem.item[seat.item], problem.site[seat.site], seat.offer
    wanted = demand_of(item, seat, item.id in serving(problem))
    power = item.part.power
    return SeatView(
        item=item.id,
        part=item.part.id,
        part_class=item.part.part_class,
        name=item.part.name or item.part.id,
        site=site.id,
        label=site.receptacle.label or site.receptacle.id,
        machine=offer.machine,
        owner=site.owner,
        depth=offer.depth,
        processor=offer.processor if item.part.links else None,
        hub=next((hop.partition("/")[2] for hop in offer.hops if "/" in hop), None),
        group=offer.group if item.part.links else None,
        setting=setting_of(problem, plan, seat),
        links=tuple(link_view(link) for link in seat.links),
        wanted_in_mb_s=wanted[0],
        wanted_out_mb_s=wanted[1],
        short_mb_s=sum(wanted) - sum(met(wanted, seat)),
        shared_short_mb_s=short_by_link(problem, plan.seats).get(f"{item.id} upwards", 0),
        slot_w=power.slot_w if power else None,
        aux_w=power.aux_w if power else None,
        aux=power.aux if power else (),
        positions=tuple(position for _, _, position in positions(problem, seat)),
        today=problem.today.get(item.id),
        facts=tuple(fact.label for fact in seat.facts if fact in plan.facts),
        near=item.wish.near,
        far=bool(far(item, seat)),
        reason=reason_of(problem, seating, plan, seat),
        body=body_view(problem, plan, seat),
        guest=item.wish.guest,
        recognise=item.part.recognise,
    )


def link_view(link: Trained) -> LinkView:
    """One link."""
    wired = bool(link.to)
    text = (
        segments_text((link.lanes,)) if wired else link_text(link.bus, link.generation, link.lanes)
    )
    return LinkView(
        at=link.at,
        lanes=link.lanes,
        generation=link.generation,
        able_lanes=link.able_lanes,
        able_generation=link.able_generation,
        bus=link.bus,
        mb_s=link_carries(link),
        text=text if link.lanes else "dark",
        able_text=link_text(link.bus, link.able_generation, link.able_lanes),
        to=link.to,
        why=str(link.dark) if link.dark else below_ability(link),
    )


def below_ability(link: Trained) -> str:
    """Why the link does less than the part could; empty if it does not."""
    if link.lanes < link.able_lanes:
        return f"x{link.able_lanes} link on {link.lanes} lanes"
    if not link.to and could_carry(link) > link_carries(link):
        return f"generation {link.able_generation} part, generation {link.generation} lanes"
    return ""


def way_of(problem: Problem, plan: Plan, group: str) -> tuple[LaneGroup, Arrangement] | None:
    """The lane group and its chosen arrangement."""
    machine, _, name = group.partition("/")
    chosen = plan.arrangements.get(group)
    for lane_group in problem.rig[machine].board.lane_groups:
        if lane_group.id == name:
            for way in lane_group.arrangements:
                if way.id == chosen:
                    return lane_group, way
    return None


def setting_of(problem: Problem, plan: Plan, seat: Seat) -> str | None:
    """The firmware setting the seat needs; none if the group has nothing to choose."""
    if not seat.links or seat.offer.group is None:
        return None
    found = way_of(problem, plan, seat.offer.group)
    if found is None or len(found[0].arrangements) == 1 or found[1].chosen_by == "presence":
        return None
    return found[1].setting or f"{found[0].id}: {found[1].id}"


def settings(problem: Problem, plan: Plan) -> list[SettingView]:
    """Each lane group that has a choice, and what it has to be."""
    found = []
    for group_name in plan.arrangements:
        pair = way_of(problem, plan, group_name)
        if pair is None or len(pair[0].arrangements) == 1:
            continue
        group, way = pair
        found.append(
            SettingView(
                machine=group_name.partition("/")[0],
                group=group.id,
                text=way.setting or str(way.id),
                how=way.chosen_by,
                changes=way is not group.arrangements[0],
                gives=tuple((name, segments_text(given)) for name, given in way.gives.items()),
                proof=way.proof,
            )
        )
    return found


def left_out(problem: Problem, seating: Seating, plan: Plan) -> list[LeftOutView]:
    """Each part without a seat, and the nearest reason."""
    if not plan.seats:
        return []
    return [
        LeftOutView(name, problem.item[name].part.id, why_out(problem, problem.item[name], seating))
        for name in plan.left_out
    ]


def why_out(problem: Problem, item: Item, seating: Seating) -> str:
    """Why an optional part has no seat."""
    if seating.every(item.id):
        return "every receptacle that takes it is better used by another part"
    if item.body in problem.retire:
        return RETIRED
    reasons = [
        f"{refusal.seat.site}: {objection.text}"
        for refusal in seating.refusals
        for objection in refusal.objections
        if refusal.seat.item == item.id and not objection.is_about_forms
    ]
    return "; ".join(dict.fromkeys(reasons)) or "no receptacle has its form"


def fact_view(plan: Plan, fact: Doubt) -> FactView:
    """One unproven fact, with the parts that hang on it."""
    users = tuple(
        seat.item for seat in plan.seats if any(other.id == fact.id for other in seat.facts)
    )
    return FactView(
        fact.label, fact.statement, fact.find_out, str(fact.span) if fact.span else "", users
    )
