"""
The referee: looks at a finished plan afresh and says what is wrong with it.

It trusts nothing of the solver: each seat is judged again where it now sits, each clause is held
against the plan, and each stage's value is worked out anew from the plan alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from slotfit.engine.costs import (
    abilities,
    breathes,
    covers,
    dark_endpoints,
    far,
    is_hot,
    moved,
    spare_mb_s,
    taken,
    weight,
)
from slotfit.engine.seats import judge
from slotfit.engine.upstream import bare, board_upstream, nested_upstream
from slotfit.hardware.flow import FLOWS, short_by_link
from slotfit.hardware.room import Position, positions
from slotfit.hardware.training import train
from slotfit.hardware.wires import within_budget
from slotfit.model.clause import Clause, arrangement, holds
from slotfit.model.keys import GroupKey
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem
from slotfit.model.reason import No
from slotfit.model.seat import Seat, Upstream, rests_on
from slotfit.rule import SeatRule, trial_of


def faults(
    problem: Problem,
    plan: Plan,
    clauses: Iterable[Clause],
    rules: Sequence[SeatRule],
) -> Iterator[str]:
    """Everything wrong with the plan, in words; nothing if it stands."""
    yield from clause_faults(plan, clauses)
    for seat in plan.seats:
        yield from seat_faults(problem, seat, rules)
        yield from upstream_faults(problem, plan, seat)
    yield from told_faults(problem, plan)
    truth = stage_values(problem, plan)
    for stage in plan.stages:
        if truth[stage.stage] != stage.value:
            yield f"{stage.stage} is {truth[stage.stage]}, not {stage.value}"
        if stage.bound > stage.value:
            yield f"{stage.stage} is {stage.value}, below its bound {stage.bound}"


def clause_faults(plan: Plan, clauses: Iterable[Clause]) -> Iterator[str]:
    """Clauses the plan breaks."""
    chosen = {seat.key for seat in plan.seats}
    chosen |= {arrangement(group, way) for group, way in plan.arrangements.items()}
    for clause in clauses:
        if not holds(clause, chosen):
            yield f"{clause.reason.rule}: {clause.reason.text}"


def seat_faults(problem: Problem, seat: Seat, rules: Sequence[SeatRule]) -> Iterator[str]:
    """What the seat rules say against a seat, judged again."""
    part = problem.part[seat.part]
    links = train(part.spec, seat.upstream)
    trial = replace(trial_of(problem, seat), links=links)
    if links != seat.links:
        yield f"{seat.key} trains otherwise than it says"
    doubted: set[tuple[str, ...]] = set()
    for verdict in judge(trial, rules):
        if isinstance(verdict, No):
            yield f"{verdict.rule}: {verdict.text}"
        else:
            doubted.add(verdict.id)
    if doubted != {fact.id for fact in seat.facts}:
        yield f"{seat.key} rests on other facts than it says"


def upstream_faults(problem: Problem, plan: Plan, seat: Seat) -> Iterator[str]:
    """A seat that is not offered there what it says, as the plan divides lanes and places parts."""
    part, upstream = problem.part[seat.part], offered(problem, plan, seat)
    if upstream is None:
        yield f"{seat.key} is on a part that has no place"
    elif part.spec.links:
        if within_budget(problem, part, upstream) != seat.upstream:
            yield f"{seat.key} is offered something else than it says"
    elif (upstream.root, upstream.carriers) != (seat.upstream.root, seat.upstream.carriers):
        yield f"{seat.key} is not where it says"


def offered(problem: Problem, plan: Plan, seat: Seat) -> Upstream | None:
    """What the seat's receptacle offers in this plan; None if it is not there."""
    receptacle = problem.receptacle[seat.receptacle]
    if not receptacle.on_board:
        owner = next((other for other in plan.seats if other.part == receptacle.owner), None)
        return (
            nested_upstream(problem.part[receptacle.owner], receptacle.spec, owner)
            if owner
            else None
        )
    machine = problem.machine[receptacle.owner]
    group = machine.group_of.get(receptacle.spec.id)
    if group is None:
        return bare(machine, receptacle)
    way = problem.arrangement(GroupKey(machine.id, group.id), plan.arrangements)
    return board_upstream(machine, receptacle, group, way)


def told_faults(problem: Problem, plan: Plan) -> Iterator[str]:
    """What the plan says of itself beside its seats and stages."""
    seated = {seat.part for seat in plan.seats}
    if set(plan.left_out) != problem.part.keys() - seated:
        yield "other parts are left out than it says"
    if {fact.id for fact in plan.facts} != rests_on(plan.seats).keys():
        yield "it rests on other facts than it says"


def stage_values(problem: Problem, plan: Plan) -> dict[str, int]:
    """What the plan costs in every stage, by plain arithmetic."""
    parts, seats, able = problem.part, plan.seats, abilities(problem)
    homes = {seat.part: seat.receptacle for seat in seats}
    short: dict[str, int] = {
        flow: sum(short_by_link(problem, seats, flow).values()) for flow in FLOWS
    }
    return {
        **short,
        "optional-parts": sum(weight(part) for part in problem.parts if part.id not in homes),
        "dark-endpoints": sum(dark_endpoints(parts[s.part], s) for s in seats),
        "unproven-facts": len(rests_on(seats)),
        "locality": sum(far(parts[s.part], s) for s in seats),
        "cooling": len(list(crowded(problem, plan))),
        "moves": sum(moved(problem, part.id, homes.get(part.id)) for part in problem.parts),
        "reserve": sum(taken(problem, able, s) for s in seats),
        "spare-lanes": sum(map(spare_mb_s, seats)),
    }


def warmed(problem: Problem, plan: Plan) -> Iterator[tuple[Position, str]]:
    """What sits right under a hot card."""
    sits = {seat.receptacle: seat.part for seat in plan.seats}
    for over, below in covers(problem):
        if over in sits and below in sits and is_hot(problem.part[sits[over]]):
            place = (problem.receptacle[below].owner, below, problem.receptacle[over].spec.position)
            yield place, f"{sits[over]} lies over {sits[below]} and warms it"


def crowded(problem: Problem, plan: Plan) -> Iterator[tuple[Position, str]]:
    """Gaps where a fan draws no air, or a hot card is beside or right over another part."""
    yield from warmed(problem, plan)
    starts: dict[Position, Seat] = {}
    for seat in plan.seats:
        covered = positions(problem, seat)
        if covered:
            starts[covered[0]] = seat
    for seat in plan.seats:
        covered = positions(problem, seat)
        if not covered:
            continue
        owner, row, last = covered[-1]
        beside = starts.get((owner, row, last + 1))
        if beside is None:
            continue
        here, there = problem.part[seat.part], problem.part[beside.part]
        if breathes(here):
            yield covered[-1], f"{there.id} blocks the air intake of {here.id}"
        if is_hot(here) and is_hot(there):
            yield covered[-1], f"{here.id} and {there.id} warm each other"
