"""From a plan to the answer: everything it shows, worked out once."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping

from slotfit.answers import names
from slotfit.answers.place.answer import (
    SCHEMA_VERSION,
    LeftOutPart,
    LeftOver,
    LinkRate,
    PlaceAnswer,
    PlaceMore,
    PlacePlan,
    PlaceToDo,
    PlaceToWatch,
    PlaceVerdict,
    PlannedLink,
    PlannedMachine,
    PlannedSeat,
    PlugsToConnect,
    PowerBudget,
    SeatReason,
    SettingToChoose,
    SharedLink,
    StageOutcome,
    UnprovenFact,
)
from slotfit.answers.place.cautions import cautions_for
from slotfit.answers.place.layout import cables_of, layout_of
from slotfit.answers.place.receptacles import (
    division,
    groups_of,
    part_body,
    receptacles_of,
    rows_of,
)
from slotfit.engine.costs import far, watts
from slotfit.engine.referee import crowded
from slotfit.hardware import flow
from slotfit.hardware.room import positions
from slotfit.listing import natural
from slotfit.model.board import Arrangement, LaneGroup
from slotfit.model.plan import Placed, Plan, StageValue, Status
from slotfit.model.problem import Problem, Rig
from slotfit.model.seat import Refusal, Seat, Seating, Trained

SAYS = {
    "optional-parts": "every optional part is placed; optional parts of weight {} are left out",
    "dark-endpoints": "every endpoint comes alive; 1 endpoint stays dark; {} endpoints stay dark",
    "bandwidth": "every demand is met; {} GB/s short of demand",
    "unproven-facts": "rests on nothing unproven; rests on 1 fact nobody has proven; "
    "rests on {} facts nobody has proven",
    "locality": "every part is near the processor it should be near; "
    "1 part hangs on another processor than it should; "
    "{} parts hang on another processor than they should",
    "cooling": "no card takes another's air; 1 gap where a neighbour takes the air; "
    "{} gaps where a neighbour takes the air",
    "moves": "nothing moves from where it is today; 1 part moves; {} parts move",
    "reserve": "no lanes of the board are taken; receptacles that could carry {} GB/s are taken",
}
"""What a value of 0, of 1 (where that is called otherwise), and of more is called."""


def answer_of(placed: Placed) -> PlaceAnswer:
    """The whole answer. Without a plan only the machines and the verdict are filled."""
    problem = placed.problem
    plan = placed.plan or Plan(left_out=tuple(item.id for item in problem.items))
    shown = plan_shown(problem, plan)
    impossible = placed.status is Status.IMPOSSIBLE
    left = (one for one in shown.receptacles if one.item is None and one.form != "cooling-mount")
    headline = names.headline(placed.status, plan)
    return PlaceAnswer(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        verdict=PlaceVerdict(placed.status.value, headline, round(placed.seconds, 3)),
        plan=shown,
        do=PlaceToDo(
            settings=tuple(settings(problem, plan)),
            cables=tuple(cables_of(layout_of(shown))),
            plugs=tuple(
                PlugsToConnect(seat.item, power.aux)
                for seat in shown.seats
                if (power := problem.item[seat.item].part.power) and power.aux
            ),
            cautions=() if impossible else cautions_for(problem, [s.item for s in plan.seats]),
        ),
        watch=PlaceToWatch(
            rests_on=tuple(unproven_facts(plan)),
            shared=tuple(shared_links(problem, plan)),
            notes=tuple(dict.fromkeys(text for _, text in crowded(problem, plan))),
        ),
        more=PlaceMore(
            reasons=tuple(reasons(placed, shown)),
            stages=tuple(StageOutcome(stage, stage_says(problem, stage)) for stage in plan.stages),
            left_out=tuple(left_out(problem, placed.seating, plan)),
            left_over=tuple(
                LeftOver(one.site, one.gets if one.on_board or one.state == "dark" else "")
                for one in (left if placed.plan else ())
            ),
            power=tuple(power_budget(problem, plan, rig) for rig in problem.rigs),
        ),
    )


def plan_shown(problem: Problem, plan: Plan) -> PlacePlan:
    """
    What goes where.

    Machine by machine, slot by slot, with what is nested right below what carries it.
    """
    homes = {seat.item: seat.site for seat in plan.seats}
    short = flow.short_by_link(problem, plan.seats)
    chosen = {
        f"{machine}/{group.id}": way.setting or f"{group.id}: {way.id}"
        for machine, group, way in chosen_ways(problem, plan)
        if way.chosen_by != "presence"
    }

    def order(seat: Seat) -> tuple[object, ...]:
        root = problem.site[seat.offer.root].receptacle
        in_row = (0, root.position) if root.row else (1, 0)
        carriers = [homes.get(carrier, carrier) for carrier in reversed(seat.offer.carriers)]
        return (seat.offer.machine, in_row, *(natural(site) for site in [*carriers, seat.site]))

    return PlacePlan(
        machines=tuple(planned_machine(rig) for rig in problem.rigs),
        seats=tuple(
            planned_seat(problem, plan, seat, chosen, short)
            for seat in sorted(plan.seats, key=order)
        ),
        rows=tuple(rows_of(problem, plan)),
        receptacles=tuple(receptacles_of(problem, plan)),
        groups=tuple(groups_of(problem, plan)),
    )


def planned_machine(rig: Rig) -> PlannedMachine:
    """One machine."""
    board, chassis, air = rig.board, rig.chassis, rig.machine.airflow_lfm
    return PlannedMachine(
        id=rig.id,
        name=rig.machine.name or rig.id,
        board=board.id,
        board_name=board.name or board.id,
        invented=board.invented,
        processors=tuple((p.id, p.label or p.id, p.id in rig.fitted) for p in board.processors),
        hubs=tuple(
            (hub.id, hub.from_, names.link_text("pcie", hub.generation, hub.lanes))
            for hub in board.hubs
        ),
        chassis=(chassis.name or chassis.id) if chassis else None,
        air_lfm=chassis.airflow_lfm if air is None and chassis else air,
    )


def planned_seat(
    problem: Problem, plan: Plan, seat: Seat, chosen: Mapping[str, str], short: Mapping[str, int]
) -> PlannedSeat:
    """One seated part; `chosen`: lane group -> what to choose; `short`: link -> MB/s it lacks."""
    item, site, offer = problem.item[seat.item], problem.site[seat.site], seat.offer
    part, power = item.part, item.part.power
    wanted = flow.demand_of(item, seat, item.id in flow.serving(problem))
    return PlannedSeat(
        item=item.id,
        part=part.id,
        part_class=part.part_class,
        name=part.name or part.id,
        site=site.id,
        label=names.printed(site.receptacle),
        machine=offer.machine,
        owner=site.owner,
        depth=offer.depth,
        processor=offer.processor if part.links else None,
        hub=next((hop.partition("/")[2] for hop in offer.hops if "/" in hop), None),
        group=offer.group if part.links else None,
        setting=chosen.get(offer.group or "") if seat.links else None,
        links=tuple(map(planned_link, seat.links)),
        wanted_in_mb_s=wanted[0],
        wanted_out_mb_s=wanted[1],
        short_mb_s=sum(wanted) - sum(flow.met(wanted, seat)),
        shared_short_mb_s=short.get(f"{item.id} upwards", 0),
        slot_w=power.slot_w if power else None,
        aux_w=power.aux_w if power else None,
        positions=tuple(position for _, _, position in positions(problem, seat)),
        today=problem.today.get(item.id),
        facts=tuple(fact.label for fact in seat.facts if fact in plan.facts),
        near=item.wish.near,
        far=bool(far(item, seat)),
        body=part_body(problem, plan, seat),
        guest=item.wish.guest,
        recognise=part.recognise,
    )


def planned_link(link: Trained) -> PlannedLink:
    """One link."""
    text = (
        names.segments_text((link.lanes,))
        if link.to
        else names.link_text(link.bus, link.generation, link.lanes)
    )
    why = str(link.dark or "")
    if not why and link.lanes < link.able_lanes:
        why = f"x{link.able_lanes} link on {link.lanes} lanes"
    elif not why and not link.to and flow.could_carry(link) > flow.carries(link):
        why = f"generation {link.able_generation} part, generation {link.generation} lanes"
    return PlannedLink(
        at=link.at,
        bus=link.bus,
        trains=LinkRate(link.lanes, link.generation),
        able=LinkRate(link.able_lanes, link.able_generation),
        mb_s=flow.carries(link),
        text=text if link.lanes else "dark",
        able_text=names.link_text(link.bus, link.able_generation, link.able_lanes),
        to=link.to,
        why=why,
    )


def chosen_ways(problem: Problem, plan: Plan) -> Iterator[tuple[str, LaneGroup, Arrangement]]:
    """Machine, lane group and its chosen arrangement, where there are several."""
    for group_name, chosen in plan.arrangements.items():
        machine, _, name = group_name.partition("/")
        for group in problem.rig[machine].board.lane_groups:
            if group.id == name and len(group.arrangements) > 1:
                yield from ((machine, group, w) for w in group.arrangements if w.id == chosen)


def settings(problem: Problem, plan: Plan) -> list[SettingToChoose]:
    """Each lane group that has a choice, and what it has to be."""
    return [
        SettingToChoose(machine, group.id, division(group, way))
        for machine, group, way in chosen_ways(problem, plan)
    ]


def stage_says(problem: Problem, stage: StageValue) -> str:
    """One preference in words."""
    amount = names.gb_s(stage.value) if stage.stage == "bandwidth" else str(stage.value)
    none, *some = SAYS[stage.stage].split("; ")
    text = some[0 if stage.value == 1 else -1].format(amount) if stage.value else none
    if stage.stage == "moves" and not problem.today:
        text = "nothing is said of today's layout"
    return text if stage.proven else f"{text} (not proven: {stage.bound} may be possible)"


def unproven_facts(plan: Plan) -> Iterator[UnprovenFact]:
    """Each unproven fact, with the parts that hang on it."""
    for fact in plan.facts:
        users = (s.item for s in plan.seats if any(one.id == fact.id for one in s.facts))
        where = str(fact.span) if fact.span else ""
        yield UnprovenFact(fact.label, fact.statement, fact.find_out, where, tuple(users))


def left_out(problem: Problem, seating: Seating, plan: Plan) -> Iterator[LeftOutPart]:
    """Each part without a seat, and the nearest reason."""
    for name in plan.left_out if plan.seats else ():
        item = problem.item[name]
        retired = item.body in problem.retire
        near = refusals_of(seating, name)
        told = dict.fromkeys(f"{r.seat.site}: {one.text}" for r in near for one in r.objections)
        if seating.every(name):
            why = "every receptacle that takes it is better used by another part"
        elif retired:
            why = "it is being retired"
        else:
            why = "; ".join(told) or "no receptacle has its form"
        yield LeftOutPart(name, item.part.id, why, retired)


# --- power and shared links -----------------------------------------------------------------------

POWERED_BY_OTHERS = ("cable", "air-mover", "adapter", "riser")
"""Classes whose draw nobody need say."""


def power_budget(problem: Problem, plan: Plan, rig: Rig) -> PowerBudget:
    """One machine's."""
    items = [problem.item[s.item] for s in plan.seats if s.offer.machine == rig.id]
    supply = rig.power_supply
    have = supply.plugs if supply else None
    used = Counter(plug for item in items if item.part.power for plug in item.part.power.aux)
    return PowerBudget(
        machine=rig.id,
        supply_w=supply.watts if supply else None,
        limit_w=supply.watts * (rig.machine.supply_limit_percent / 100) if supply else None,
        base_w=rig.machine.base_w,
        parts_w=round(sum(watts(item) for item in items), 3),
        unknown=tuple(
            item.id
            for item in items
            if item.companion_of is None
            and item.part.part_class not in POWERED_BY_OTHERS
            and (item.part.power is None or item.part.power.slot_w is None)
        ),
        plugs=tuple(
            (plug, used[plug], None if have is None else have.get(plug, 0))
            for plug in sorted({*used, *(have or ())})
        ),
    )


def shared_links(problem: Problem, plan: Plan) -> Iterator[SharedLink]:
    """Every shared link that something flows through, with what it loses."""
    serves = flow.serving(problem)
    flows: defaultdict[tuple[str, ...], Counter[str]] = defaultdict(Counter)
    seats = {seat.item: seat for seat in plan.seats}
    for seat in plan.seats:
        item = problem.item[seat.item]
        met = flow.met(flow.demand_of(item, seat, item.id in serves), seat)
        flows[seat.offer.hops].update({"in": met[0], "out": met[1]})
    for path in flow.paths(list(plan.seats)):
        node, arriving = path[0], flows[path]
        ports = (seats[one] for one in flow.ports_of(problem, node) if one in seats)
        room = (
            flow.hub_capacity(problem, node)
            if flow.is_hub(node)
            else sum(map(flow.capacity, ports))
        )
        flows[path[1:]].update({way: min(mb_s, room) for way, mb_s in arriving.items()})
        yield SharedLink(
            name=node.partition("/")[2] or node,
            machine=node.partition("/")[0] if flow.is_hub(node) else seats[node].offer.machine,
            capacity_mb_s=room,
            in_mb_s=arriving["in"],
            out_mb_s=arriving["out"],
            lost_mb_s=sum(max(0, mb_s - room) for mb_s in arriving.values()),
        )


# --- why there ------------------------------------------------------------------------------------

MOST_NAMED = 3
"""More receptacles than these are only counted."""


def reasons(placed: Placed, shown: PlacePlan) -> Iterator[SeatReason]:
    """Why each part in a board's receptacle is there rather than elsewhere."""
    seat_of = {seat.item: seat for seat in placed.plan.seats} if placed.plan else {}
    for one in shown.seats:
        if not one.depth and placed.problem.item[one.item].part.links:
            yield SeatReason(one.item, reason_of(placed, seat_of[one.item]))


def reason_of(placed: Placed, seat: Seat) -> str:
    """One or two sentences without the last full stop."""

    def worth(one: Seat) -> tuple[int, int, int]:
        """To its part: links alive, MB/s, and nothing unproven."""
        return one.alive, flow.capacity(one), -len(one.facts)

    best: dict[str, tuple[int, int, int]] = {}
    for other in placed.seating.every(seat.item):
        if not other.offer.depth and other.site != seat.site:
            best[other.site] = max(best.get(other.site, (0, 0, 0)), worth(other))
    if not best:
        return nowhere_else(placed.seating, seat)
    holders = {one.site: one.item for one in placed.plan.seats} if placed.plan else {}
    here = worth(seat)
    better = [site for site, value in best.items() if value > here]
    equal = [site for site, value in best.items() if value == here]
    words = "on its own it would do better in" if better else "on its own it would do as well in"
    if not better and not equal:
        words = "does best here; less in"
    texts = [
        f"{site} (holds {holders[site]})" if site in holders else f"{site} (stays empty)"
        for site in sorted(better or equal or best, key=natural)
    ]
    more = f" and {len(texts) - MOST_NAMED} more" if len(texts) > MOST_NAMED else ""
    return f"{words} {', '.join(texts[:MOST_NAMED])}{more}"


def nowhere_else(seating: Seating, seat: Seat) -> str:
    """The only receptacle that takes it, with the others' reasons, nearest miss first."""
    misses: dict[str, str] = {}
    refusals = refusals_of(seating, seat.item)
    for refusal in sorted(refusals, key=lambda one: (-one.seat.alive, len(one.objections))):
        if refusal.seat.site != seat.site and not refusal.seat.offer.depth:
            misses.setdefault(refusal.seat.site, refusal.objections[0].text)
    if not misses:
        return "no other receptacle has its form"
    told = list(dict.fromkeys(misses[site] for site in sorted(misses, key=natural)))
    more = f"; and {len(told) - MOST_NAMED} more" if len(told) > MOST_NAMED else ""
    return f"nothing else takes it: {'; '.join(told[:MOST_NAMED])}{more}"


def refusals_of(seating: Seating, item: str) -> list[Refusal]:
    """The part's refused seats, but for receptacles of another form."""
    return [
        refusal
        for refusal in seating.refusals
        if refusal.seat.item == item and not any(no.is_about_forms for no in refusal.objections)
    ]
