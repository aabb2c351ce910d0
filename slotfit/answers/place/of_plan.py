"""From a plan to the answer: everything it shows, worked out once."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from slotfit.answers import names
from slotfit.answers.answer_word import AnswerWord, answered
from slotfit.answers.place.air import air_sources
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
    SeatReason,
    SettingToChoose,
    SharedLink,
    Slower,
    SpeedToHold,
    StageOutcome,
    UnprovenFact,
)
from slotfit.answers.place.cautions import applying
from slotfit.answers.place.decided import Beside
from slotfit.answers.place.fitted import which_processor
from slotfit.answers.place.guests import guests_take
from slotfit.answers.place.layout import cables_of, layout_of
from slotfit.answers.place.left_out import missing_beside
from slotfit.answers.place.needs import at_odds, firmware_to_see, minds, network_ends
from slotfit.answers.place.plan import best_plan
from slotfit.answers.place.power import plugs_of, power_budget, years_at_rest
from slotfit.answers.place.receptacles import (
    division,
    groups_of,
    part_body,
    receptacles_of,
    rows_of,
)
from slotfit.answers.place.shortages import shortages_told
from slotfit.answers.place.typical import typical_figures
from slotfit.engine.costs import far
from slotfit.engine.referee import crowded
from slotfit.hardware import flow
from slotfit.hardware.room import positions
from slotfit.hardware.wires import held_ports
from slotfit.listing import listed, natural
from slotfit.model.board import Arrangement
from slotfit.model.keys import GroupKey, HubKey, LinkKey, short_name
from slotfit.model.plan import Placed, Plan, StageValue, Status
from slotfit.model.problem import Machine, Problem, uplink_mb_s
from slotfit.model.seat import Refusal, Seat, Seating, Trained
from slotfit.rule import opening_at, seated, trial_of
from slotfit.rulebook import against_machine
from slotfit.solve.place import Progress
from slotfit.standards.forms import POWER_SOCKETS

UNSEEN = ("cooling-mount", *POWER_SOCKETS)
"""Receptacles of which nobody misses one that is left over."""

SAYS = {
    "demand": "all that required parts are said to move gets through; "
    "{} GB/s short of what required parts are said to move",
    "optional-parts": "every optional part is placed; optional parts of weight {} are left out",
    "dark-endpoints": "every endpoint is detected; 1 endpoint is not detected; "
    "{} endpoints are not detected",
    "optional-demand": "all that is said to move gets through; "
    "{} GB/s short of what is said to move, optional parts included",
    "unproven-facts": "rests on nothing unproven; rests on 1 unproven fact; "
    "rests on {} unproven facts",
    "bandwidth": "nothing is short, even where nobody stated a rate; "
    "{} GB/s short in all, parts of no stated rate moving all they can",
    "locality": "every part is near the processor it should be near; "
    "1 part is attached to another processor than it should be; "
    "{} parts are attached to another processor than they should be",
    "cooling": "no card takes another's air; 1 gap where a neighbour takes the air; "
    "{} gaps where a neighbour takes the air",
    "moves": "nothing moves from where it is today; 1 part moves or comes out; "
    "{} parts move or come out",
    "reserve": "no receptacle that could carry anything is taken; "
    "receptacles that could carry {} GB/s are taken or covered",
    "spare-lanes": "every link does all that its part can; "
    "links could carry {} GB/s more than they do",
}
"""What a value of 0, of 1 (where that is called otherwise), and of more is called."""


def place(
    problem: Problem,
    seconds: float = 60.0,
    progress: Progress | None = None,
    found: Placed | None = None,
) -> PlaceAnswer:
    """
    Which receptacle each part goes in, with settings, links, cables and reasons.

    At most so many `seconds` are searched, and the best found by then is told. `found`: what
    `best_plan` answered to the problem, if that was asked already. Raises InternalError if solver
    and referee disagree.
    """
    return answer_of(found or best_plan(problem, seconds, progress))


def answer_of(placed: Placed) -> PlaceAnswer:
    """The whole answer. Without a plan only the machines and the verdict are filled."""
    problem = placed.problem
    plan = placed.plan or nothing_placed(problem)
    shown = plan_shown(problem, plan)
    impossible = placed.status is Status.IMPOSSIBLE
    word, status, headline = told(problem, placed.status, placed.plan)
    cautions = () if impossible else applying(problem, [s.part for s in plan.seats])
    return PlaceAnswer(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        verdict=PlaceVerdict(word, status.value, headline, round(placed.seconds, 3)),
        plan=shown,
        do=PlaceToDo(
            settings=tuple(settings(problem, plan)) if placed.plan else (),
            speeds=tuple(speeds(problem, plan.seats)),
            firmware=tuple(firmware_to_see(problem, plan)),
            cables=tuple(cables_of(layout_of(shown))),
            plugs=tuple(plugs_of(problem, plan, [seat.item for seat in shown.seats])),
            network=tuple(network_ends(problem.part[seat.part] for seat in plan.seats)),
            minds=tuple(minds(problem.part[seat.part] for seat in plan.seats)),
            cautions=tuple(one.text for one in cautions),
            cautions_in_short=tuple(one.in_short for one in cautions),
        ),
        watch=PlaceToWatch(
            rests_on=tuple(unproven_facts(plan)),
            shared=tuple(shared_links(problem, plan)),
            typical=tuple(typical_figures(problem, plan)),
            notes=tuple(notes(problem, plan)),
            shortages=tuple(shortages_told(placed)),
        ),
        more=PlaceMore(
            reasons=tuple(reasons(placed, shown)),
            stages=tuple(StageOutcome(stage, stage_says(problem, stage)) for stage in plan.stages),
            left_out=tuple(left_out(placed)),
            left_over=tuple(left_over(shown)) if placed.plan else (),
            power=tuple(power_budget(problem, plan, machine) for machine in problem.machines),
            rest=tuple(years_at_rest(problem, plan)),
        ),
    )


def left_over(shown: PlacePlan) -> Iterator[LeftOver]:
    """Every receptacle that is left over, with what it gets where the plan decides that."""
    for one in shown.receptacles:
        if one.item is None and one.form not in UNSEEN:
            decided = one.on_board or one.state == "no lanes"
            yield LeftOver(one.site, one.gets if decided else "")


def told(problem: Problem, status: Status, plan: Plan | None) -> tuple[AnswerWord, Status, str]:
    """How a plan comes out, and the sentence; a board that cannot be mounted makes it none."""
    if plan and (against := unmounted(problem)):
        text = answered("no", f"no plan exists: {'; '.join(against)}")
        return "no", Status.IMPOSSIBLE, text
    if plan and not problem.parts:
        return "yes", status, answered("yes", "nothing was asked, the build names no part")
    return names.word_of(status, plan), status, names.headline(status, plan)


def unmounted(problem: Problem) -> list[str]:
    """Why machines that stay cannot be put together, whatever goes into them."""
    stay = (machine for machine in problem.machines if machine.id not in problem.retire)
    return [no.text for machine in stay for no in against_machine(machine)]


def nothing_placed(problem: Problem) -> Plan:
    """The machines as they come, set as they are today where that is known."""
    return Plan((), dict(problem.settings_today), tuple(part.id for part in problem.parts))


def plan_shown(problem: Problem, plan: Plan) -> PlacePlan:
    """
    What goes where.

    Machine by machine, slot by slot, with what is nested right below what carries it.
    """
    homes = {seat.part: seat.receptacle for seat in plan.seats}
    short = flow.short_by_link(problem, plan.seats)
    chosen = {
        key: names.setting_text(way)
        for key, way in chosen_ways(problem, plan)
        if way.chosen_by != "presence"
    }

    def order(seat: Seat) -> tuple[object, ...]:
        root = problem.receptacle[seat.upstream.root].spec
        in_row = (0, root.position) if root.row else (1, 0)
        carriers = [homes.get(carrier, carrier) for carrier in reversed(seat.upstream.carriers)]
        return (
            seat.upstream.machine,
            in_row,
            *(natural(one) for one in [*carriers, seat.receptacle]),
        )

    return PlacePlan(
        machines=tuple(planned_machine(problem, plan, one) for one in problem.machines),
        seats=tuple(
            planned_seat(problem, plan, seat, chosen, short)
            for seat in sorted(plan.seats, key=order)
        ),
        rows=tuple(rows_of(problem, plan)),
        receptacles=tuple(receptacles_of(problem, plan)),
        groups=tuple(groups_of(problem, plan)),
    )


def planned_machine(problem: Problem, plan: Plan, machine: Machine) -> PlannedMachine:
    """One machine."""
    board, chassis, air = machine.board, machine.chassis, machine.entry.airflow_lfm
    return PlannedMachine(
        id=machine.id,
        name=machine.entry.name or machine.id,
        board=board.id,
        board_name=board.name or board.id,
        invented=board.invented,
        processors=tuple((p.id, p.label or p.id, p.id in machine.fitted) for p in board.processors),
        hubs=tuple(
            (hub.id, hub.from_, names.link_text("pcie", hub.generation, hub.lanes))
            for hub in machine.hubs.values()
        ),
        chassis=(chassis.name or chassis.id) if chassis else None,
        air_lfm=chassis.airflow_lfm if air is None and chassis else air,
        air_by=tuple(air_sources(problem, plan, machine)),
        devices=tuple((one.id, one.kind) for one in board.devices or ()),
    )


def planned_seat(
    problem: Problem,
    plan: Plan,
    seat: Seat,
    chosen: Mapping[GroupKey, str],
    short: Mapping[LinkKey, int],
) -> PlannedSeat:
    """One seated part; `chosen`: lane group -> what to choose; `short`: link -> MB/s it lacks."""
    part, receptacle, upstream = (
        problem.part[seat.part],
        problem.receptacle[seat.receptacle],
        seat.upstream,
    )
    spec, power = part.spec, seated(problem, seat).spec.power
    serves = part.id in flow.serving(problem)
    wanted = flow.demand_of(part, seat, serves)
    return PlannedSeat(
        item=part.id,
        part=spec.id,
        part_class=spec.part_class,
        name=spec.name or spec.id,
        site=receptacle.id,
        label=names.printed(receptacle.spec),
        machine=upstream.machine,
        owner=receptacle.owner,
        depth=upstream.depth,
        processor=upstream.processor if spec.links else None,
        hub=upstream.hub.hub if upstream.hub else None,
        group=str(upstream.group) if upstream.group and spec.links else None,
        setting=chosen.get(upstream.group) if upstream.group and seat.links else None,
        links=tuple(map(planned_link, seat.links)),
        wanted_stated=flow.stated(part, serves) is not None,
        wanted_in_mb_s=wanted[0],
        wanted_out_mb_s=wanted[1],
        short_mb_s=sum(wanted) - sum(flow.met(wanted, flow.capacity(seat))),
        shared_short_mb_s=short.get(LinkKey(part.id, shared=True), 0),
        slot_w=power.slot_w if power else None,
        aux_w=power.aux_w if power else None,
        positions=tuple(position for _, _, position in positions(problem, seat)),
        today=problem.today.get(part.id),
        facts=tuple(fact.label for fact in seat.facts if fact.id in {one.id for one in plan.facts}),
        near=part.wish.near,
        far=bool(far(part, seat)),
        body=part_body(problem, plan, seat),
        guest=part.wish.owner,
        recognise=spec.recognise,
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
        text=text if link.lanes else "not detected",
        able_text=names.link_text(link.bus, link.able_generation, link.able_lanes),
        to=link.to,
        why=why,
    )


def chosen_ways(problem: Problem, plan: Plan) -> Iterator[tuple[GroupKey, Arrangement]]:
    """Lane groups that have several arrangements, each with the plan's."""
    for key in plan.arrangements:
        if len(problem.lane_groups[key].arrangements) > 1:
            yield key, problem.arrangement(key, plan.arrangements)


def settings(problem: Problem, plan: Plan) -> Iterator[SettingToChoose]:
    """Each lane group on whose division something hangs, and those that the board steers."""
    for key, way in chosen_ways(problem, plan):
        found = division(problem, plan, key)
        if found.step or way.chosen_by == "presence":
            yield SettingToChoose(key.machine, key.group, found)


def speeds(problem: Problem, seats: Iterable[Seat]) -> Iterator[SpeedToHold]:
    """Ports to be held to what the wires below them carry."""
    for one in held_ports(problem, seats):
        label = names.printed(problem.receptacle[one.receptacle].spec)
        yield SpeedToHold(one.machine, one.receptacle, label, one.menu, one.generation, one.parts)


def notes(problem: Problem, plan: Plan) -> Iterator[str]:
    """What to mind: brackets to change, neighbours that take each other's air."""
    yield from which_processor(problem, plan)
    yield from guests_take(problem, plan.seats)
    yield from brackets(problem, plan)
    yield from at_odds(firmware_to_see(problem, plan))
    yield from dict.fromkeys(text for _, text in crowded(problem, plan))


def brackets(problem: Problem, plan: Plan) -> Iterator[str]:
    """Cards with both brackets that wear the other one today."""
    for seat in plan.seats:
        part, opening = problem.part[seat.part], opening_at(trial_of(problem, seat))
        fitted = part.wish.bracket
        if part.spec.bracket == "both" and fitted and opening not in (None, "none", fitted):
            yield (
                f"{part.id}: change its {fitted} bracket for the {opening} one before it goes into "
                f"{seat.receptacle}"
            )


def stage_says(problem: Problem, stage: StageValue) -> str:
    """One preference in words."""
    amount = names.stage_amount(stage.stage, stage.value)
    none, *some = SAYS[stage.stage].split("; ")
    text = some[0 if stage.value == 1 else -1].format(amount) if stage.value else none
    if stage.stage == "moves" and not problem.today:
        text = "nothing is said of today's layout"
    return text if stage.proven else f"{text} (not proven: {stage.bound} may be possible)"


def unproven_facts(plan: Plan) -> Iterator[UnprovenFact]:
    """Each unproven fact, with the parts that hang on it; what is seldom so comes first."""
    for fact in sorted(plan.facts, key=lambda fact: not fact.look.likely_false):
        users = (s.part for s in plan.seats if any(one.id == fact.id for one in s.facts))
        where = str(fact.span) if fact.span else ""
        yield UnprovenFact(fact.label, fact.statement, fact.find_out, where, tuple(users))


def left_out(placed: Placed) -> Iterator[LeftOutPart]:
    """Each part without a seat, and why."""
    problem, plan = placed.problem, placed.plan
    if plan is None:
        return
    out = [problem.part[name] for name in plan.left_out]
    gone = {part.id for part in out if {part.id, part.body} & {*problem.retire}}
    unused = [part.id for part in out if part.id not in gone and placed.seating.every(part.id)]
    beside = missing_beside(placed, plan, unused) if unused else {}
    for part in out:
        if part.id in gone:
            why = "it is being retired"
        elif part.id in beside:
            why = beside[part.id].why
        else:
            near = refusals_of(placed.seating, part.id)
            told = (f"{r.seat.receptacle}: {one.text}" for r in near for one in r.objections)
            why = "; ".join(dict.fromkeys(told)) or "no receptacle has its form"
        yield LeftOutPart(part.id, part.spec.id, why, part.id in gone)


# --- shared links ---------------------------------------------------------------------------------


def shared_links(problem: Problem, plan: Plan) -> Iterator[SharedLink]:
    """Every shared link that something flows through, with what it loses."""
    serves = flow.serving(problem)
    flows: defaultdict[flow.Path, Counter[str]] = defaultdict(Counter)
    seats = {seat.part: seat for seat in plan.seats}
    for seat in plan.seats:
        part = problem.part[seat.part]
        met = flow.met(flow.demand_of(part, seat, part.id in serves), flow.capacity(seat))
        flows[seat.upstream.hops].update({"in": met[0], "out": met[1]})
    for path in flow.paths(list(plan.seats)):
        node, arriving = path[0], flows[path]
        room = flow.shared_room(problem, seats, path)
        machine = node.machine if isinstance(node, HubKey) else seats[node].upstream.machine
        flows[path[1:]].update({way: min(mb_s, room) for way, mb_s in arriving.items()})
        yield SharedLink(
            name=short_name(node),
            machine=machine,
            capacity_mb_s=room,
            in_mb_s=arriving["in"],
            out_mb_s=arriving["out"],
            lost_mb_s=sum(max(0, mb_s - room) for mb_s in arriving.values()),
            slower=why_slower(problem, plan, path),
        )


def why_slower(problem: Problem, plan: Plan, path: flow.Path) -> Slower | None:
    """Why less counts than the link's own rate, or than it may have."""
    node = path[0]
    if isinstance(node, HubKey):
        several = {uplink_mb_s(one) for one in problem.machine[node.machine].uplinks[node.hub]}
        return "uplink-unknown" if len(several) > 1 else None
    if not flow.slows(problem, plan.seats, path):
        return None
    return "sata-unknown" if problem.part[node].spec.buffers is None else "sata"


# --- why there ------------------------------------------------------------------------------------

MOST_NAMED = 3
"""More receptacles than these are only counted."""


def reasons(placed: Placed, shown: PlacePlan) -> Iterator[SeatReason]:
    """Why each part in a board's receptacle is there rather than elsewhere."""
    beside = Beside(placed, placed.plan or Plan())
    seat_of = {seat.part: seat for seat in beside.plan.seats}
    for one in shown.seats:
        if not one.depth and placed.problem.part[one.item].spec.links:
            yield SeatReason(one.item, reason_of(beside, seat_of[one.item]))


def reason_of(beside: Beside, seat: Seat) -> str:
    """One or two sentences without the last full stop."""
    placed = beside.placed

    def worth(one: Seat) -> tuple[int, int, int]:
        """To its part: links alive, MB/s, and nothing unproven."""
        return one.alive, flow.capacity(one), -len(one.facts)

    best: dict[str, tuple[int, int, int]] = {}
    for other in placed.seating.every(seat.part):
        if not other.upstream.depth and other.receptacle != seat.receptacle:
            best[other.receptacle] = max(best.get(other.receptacle, (0, 0, 0)), worth(other))
    if not best:
        return nowhere_else(placed.seating, seat)
    holders = {one.receptacle: one.part for one in beside.plan.seats}
    here = worth(seat)
    better = [receptacle for receptacle, value in best.items() if value > here]
    equal = [receptacle for receptacle, value in best.items() if value == here]
    words = "on its own it would do better in" if better else "on its own it would do as well in"
    if not better and not equal:
        words = "does best here; less in"
    named = sorted(better or equal or best, key=natural)
    alike: dict[tuple[str | None, str], list[str]] = {}
    for one in named[:MOST_NAMED]:
        holder = holders.get(one)
        why = why_empty(beside, seat.part, one) if (better or equal) and not holder else ""
        alike.setdefault((holder, why), []).append(one)
    more = f" and {len(named) - MOST_NAMED} more" if len(named) > MOST_NAMED else ""
    return f"{words} {', '.join(noted(*note, those) for note, those in alike.items())}{more}"


def noted(holder: str | None, why: str, receptacles: Sequence[str]) -> str:
    """`slot1 (holds nic)`, `slot2 and slot3 (stay empty)`."""
    empty = f"{'stay' if len(receptacles) > 1 else 'stays'} empty{why}"
    return f"{listed(receptacles)} ({f'holds {holder}' if holder else empty})"


def why_empty(beside: Beside, part: str, receptacle: str) -> str:
    """What the plan would lose with the part there; nothing where nobody looked at that seat."""
    seats = beside.placed.seating.by_place.get((part, receptacle), ())
    return f": {beside.decides(seats)}" if seats else ""


def nowhere_else(seating: Seating, seat: Seat) -> str:
    """The only receptacle that takes it, with the others' reasons, nearest miss first."""
    misses: dict[str, str] = {}
    refusals = refusals_of(seating, seat.part)
    for refusal in sorted(refusals, key=lambda one: (-one.seat.alive, len(one.objections))):
        if refusal.seat.receptacle != seat.receptacle and not refusal.seat.upstream.depth:
            misses.setdefault(refusal.seat.receptacle, refusal.objections[0].text)
    if not misses:
        return "no other receptacle has its form"
    told = list(dict.fromkeys(misses[receptacle] for receptacle in sorted(misses, key=natural)))
    more = f"; and {len(told) - MOST_NAMED} more" if len(told) > MOST_NAMED else ""
    return f"nothing else takes it: {'; '.join(told[:MOST_NAMED])}{more}"


def refusals_of(seating: Seating, part: str) -> list[Refusal]:
    """The part's refused seats, but for receptacles of another form."""
    return [
        refusal
        for refusal in seating.refusals
        if refusal.seat.part == part and not any(no.is_about_forms for no in refusal.objections)
    ]
