"""Why there is no plan, and what would make one."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Protocol

from slotfit.answers.no_plan.answer import (
    SCHEMA_VERSION,
    Clash,
    NoPlanAnswer,
    PlanInShort,
    WayOutPlanned,
    WaysOut,
)
from slotfit.answers.no_plan.case import Case, TooManySeatsError, canonical, case_of
from slotfit.answers.no_plan.changed import known_only, without, without_lost_places
from slotfit.answers.no_plan.clash import but_for, clash_of, surplus, with_fewest
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.no_plan.ways_out import Found, Search, ways_out
from slotfit.answers.place.answer import StageOutcome
from slotfit.answers.place.of_plan import stage_says
from slotfit.answers.place.plan import best_plan as place
from slotfit.engine.memory import Memory
from slotfit.engine.seats import MANY_SEATS, seat_by
from slotfit.engine.shortage import crowds_at_once, on_parts
from slotfit.hardware.flow import FLOWS, short_by_link
from slotfit.listing import natural
from slotfit.model.plan import Placed, Plan, StageValue
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rulebook import SEAT_RULES
from slotfit.solve.clash import Core
from slotfit.solve.engine import Clock
from slotfit.solve.place import Progress, silent

CLASHES = 3
"""So many clashes of different facts are told."""

WAYS = 4
"""So many ways out are worked out."""


class PlacerOn(Protocol):
    """Places a problem on the seats given, within so many seconds."""

    def __call__(self, problem: Problem, seconds: float, *, seating: Seating) -> Placed: ...


@dataclass
class Findings:
    """Why there is no plan and what would make one, as far as it is known; kept at Ctrl-C."""

    clashes: list[Clash] = field(default_factory=list)
    cores: list[Core] = field(default_factory=list)
    further: bool | None = None
    """Whether there are more clashes than these; None if nobody looked."""
    found: Found = field(default_factory=Found)
    stopped: bool = False
    """Time ran out, or Ctrl-C came."""


def no_plan_answer(known: Findings) -> NoPlanAnswer:
    """The same as plain values."""
    found = known.found
    ways = tuple(WayOutPlanned(way.steps, plan_in_short(way.placed)) for way in found.ways)
    do = WaysOut(ways, found.size, tuple(found.more), found.complete, known.stopped)
    return NoPlanAnswer(SCHEMA_VERSION, tuple(known.clashes), known.further, do)


def plan_in_short(placed: Placed) -> PlanInShort:
    """What a plan gives up, and where the parts go."""
    plan = placed.plan or Plan()
    seats = sorted((natural(s.receptacle), s.part, s.receptacle) for s in plan.seats)
    prices = []
    for stage in (given_up(placed.problem, one) for one in plan.stages):
        says = stage_says(placed.problem, stage)
        flow = next((one for one in FLOWS if one == stage.stage), None)
        if flow and stage.value:
            links = short_by_link(placed.problem, plan.seats, flow)
            says += f" at {', '.join(sorted(map(str, links), key=natural))}"
        prices.append(StageOutcome(stage, says))
    places = tuple((part, receptacle) for _, part, receptacle in seats)
    return PlanInShort(tuple(prices), places, all(stage.proven for stage in plan.stages))


def given_up(problem: Problem, stage: StageValue) -> StageValue:
    """The stage without parts that leave: they count as left out, and nobody asked for them."""
    if stage.stage != "optional-parts":
        return stage
    leave = sum(part.wish.weight for part in problem.parts if part.id in problem.retire)
    return replace(stage, value=stage.value - leave, bound=stage.bound - leave)


def findings_of(
    problem: Problem,
    place_on: PlacerOn,
    shop: Shop | None,
    clock: Clock,
    progress: Progress,
    ways: int = WAYS,
) -> Findings:
    """
    The clashes of a problem that has no plan, and up to `ways` ways out.

    When time runs out, or at Ctrl-C, it is what is known by then, and says what is not.
    """
    problem = canonical(problem)
    known = Findings()
    memory = Memory(SEAT_RULES)
    rules = (memory.rule,)

    def place(changed: Problem, seconds: float) -> Placed:
        return place_on(changed, seconds, seating=seat_by(memory.hold, changed, MANY_SEATS))

    try:
        progress("what stands in the way", 0, 3)
        few = with_fewest(problem, place, clock)
        case = case_of(crowd_alone(few) or few, rules=rules)
        find_clashes(case, clock, known)
        if known.cores and ways and clock.left:
            progress("ways out", 1, 3)
            clashes = [[case.reasons[name] for name in core.names] for core in known.cores]
            whole = case if case.problem is problem else case_of(problem, rules=rules)
            search = Search(problem, place, clock, ways, surplus(problem, few))
            ways_out(search, whole, clashes, shop, known.found)
        known.found.complete = known.found.complete and bool(ways)
    except TooManySeatsError:
        known.found.complete = False
    except KeyboardInterrupt:
        clock.stopped = True
    known.stopped = not clock.left
    known.found.complete = known.found.complete and not known.stopped
    return known


def crowd_alone(problem: Problem) -> Problem | None:
    """
    Of a large build whose receptacles are too few, the first crowd and whatever could carry it.

    That has no plan either, and what clashes in it can be told. None of other builds.
    """
    crowd = next(iter(crowds_at_once(problem, SEAT_RULES)), None)
    if crowd is None:
        return None
    kept: dict[str, None] = {}
    to_see = [*crowd.parts]
    for name in to_see:  # grows
        if name not in kept:
            kept[name] = None
            rooms = on_parts(problem, problem.part[name])
            to_see += dict.fromkeys(problem.receptacle[one].owner for one in rooms)
    made = without(problem, [part.id for part in problem.parts if part.id not in kept])
    made = replace(made, parts=tuple(known_only(made, part) for part in made.parts))
    return without_lost_places(problem, made)


def find_clashes(case: Case, clock: Clock, known: Findings) -> None:
    """One clash after another, none sharing a fact with an earlier one."""
    left = case
    while len(known.clashes) < CLASHES and clock.left:
        first = 1 + sum(len(clash.sentences) for clash in known.clashes)
        clash, core = clash_of(left, clock, first)
        if clash is None or core is None:
            known.further = None if not clock.left else False
            return
        known.clashes.append(clash)
        known.cores.append(core)
        left = but_for(left, core.names)
    known.further = None


def explain(
    problem: Problem,
    shop: Shop | None = None,
    seconds: float = 60.0,
    ways: int = 4,
    progress: Progress | None = None,
) -> Findings:
    """
    Why a problem has no plan, and up to `ways` ways out, each placed.

    `shop` has what could be bought; without it nothing is.
    """
    return findings_of(problem, place, shop, Clock(seconds), progress or silent, ways)
