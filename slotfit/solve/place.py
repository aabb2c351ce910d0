"""From clauses and ordered preferences to a plan: one stage after another, each proven."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from slotfit.errors import InternalError
from slotfit.listing import by_name
from slotfit.model.clause import Clause, arrangement
from slotfit.model.plan import Answer, Plan, Status
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating, rests_on
from slotfit.solve.engine import Result, Solution, Term, solve
from slotfit.solve.frame import Frame, build_frame, ways_in
from slotfit.solve.prefer import Step, pack, preferred, stage_value, worth

COUNTS_TO = 10**8
"""How far one objective counts at most; a larger one has the solver compare too finely."""


def tie_break(frame: Frame) -> list[Step]:
    """What makes one plan of many equal ones, most important first."""
    sums = [fewest_settings(frame), *ranks(frame), *ways(frame)]
    return pack(frame.model, (("tie-break", terms) for terms in sums if terms), COUNTS_TO)


def fewest_settings(frame: Frame) -> list[Term]:
    """Arrangements other than the board's own first one, later ones dearer."""
    return [term for terms in ways(frame) for term in terms]


def ways(frame: Frame) -> list[list[Term]]:
    """Lane groups in the order of their names, each arranged as early in its list as can be."""
    groups = {
        f"{rig.id}/{group.id}": [str(way.id) for way in group.arrangements]
        for rig in frame.problem.rigs
        for group in rig.board.lane_groups
    }
    return [
        [(v, n) for n, way in enumerate(groups[name]) if n and (v := atom(frame, name, way))]
        for name in sorted(groups, key=by_name)
    ]


def atom(frame: Frame, group: str, way: str) -> int:
    """The variable of an arrangement."""
    return frame.x[arrangement(group, way)] or 0


def ranks(frame: Frame) -> list[list[Term]]:
    """Parts in the order of their names, each to the first receptacle it can have."""
    places: dict[str, dict[str, list[int]]] = {}
    for seat in frame.seats:
        places.setdefault(seat.item, {}).setdefault(seat.site, []).append(frame.var(seat))
    return [ranked(places[item]) for item in sorted(places, key=by_name)]


def ranked(sites: dict[str, list[int]]) -> list[Term]:
    """How far down the list of its receptacles a part sits; no seat is further than the last."""
    order = sorted(sites, key=by_name)
    return [
        (variable, number - len(order))
        for number, site in enumerate(order)
        for variable in sites[site]
    ]


Progress = Callable[[str, int, int], None]
"""Called with a stage's name, its number and the number of stages."""


def silent(stage: str, number: int, stages: int) -> None:
    """No progress shown."""


LARGE = 5000
"""Of a model of more variables some plan is found first, should time run out before the best."""


@dataclass
class Run:
    """What has been found and proven so far."""

    values: Sequence[int] | None = None
    bounds: list[list[int]] = field(default_factory=list)
    """For each step that was begun, the proven bound of each of its stages."""
    impossible: bool = False


def place(
    problem: Problem,
    seating: Seating,
    clauses: Iterable[Clause],
    seconds: float = 60.0,
    progress: Progress = silent,
    *,
    any_of_the_best: bool = False,
) -> Answer:
    """
    The best plan: each preference in turn made as small as it can be, the earlier ones held.

    `any_of_the_best`: which of several equally good plans it is does not matter.
    Out of time or on Ctrl-C it is the best plan so far with the bounds proven so far.
    """
    began = time.monotonic()
    run = Run()
    frame = build_frame(problem, seating, clauses, in_order=True)
    go_on = any_plan(frame, run, seconds)
    steps = preferred(frame, wider=any_of_the_best)
    if run.values is not None:  # it knows nothing yet of the helpers that the preferences made
        new = len(frame.model.domains) - len(run.values)
        run.values = frame.model.settled([*run.values, *[0] * new])
    try:
        finish = [] if any_of_the_best else tie_break(frame)
        for number, step in enumerate([*steps, *finish] if go_on else []):
            progress(step.names[0], number, len(steps) + len(finish))
            if not take(frame, step, run, seconds - (time.monotonic() - began)):
                break
    except KeyboardInterrupt:
        pass  # a second Ctrl-C, or one between two steps: what has been found is the answer
    return answer(frame, steps, run, time.monotonic() - began)


def any_plan(frame: Frame, run: Run, seconds: float) -> bool:
    """
    Some plan before the best; False if there is none, or no time is left to better it.

    Of small models the best comes as soon, and none is looked for.
    """
    if len(frame.model.domains) <= LARGE:
        return True
    found = solve(frame.model, seconds)
    run.impossible = found.result is Result.INFEASIBLE
    run.values = found.values or None
    return found.result is Result.OPTIMAL and not found.interrupted


def take(frame: Frame, step: Step, run: Run, seconds: float) -> bool:
    """One objective; False if the next one is not to be begun."""
    if seconds <= 0:
        return False
    frame.model.minimise(step.objective())
    found = solve(frame.model, seconds)
    if found.result is Result.INFEASIBLE:
        if run.values is not None:
            raise InternalError(f"no plan is as good as the last one in {', '.join(step.names)}")
        run.impossible = True
        return False
    if found.result in (Result.OPTIMAL, Result.FEASIBLE):  # no values where nothing is to choose
        run.values = frame.model.settled(found.values)
    if run.values is None:
        return False
    run.bounds.append(proven(step, found, run.values))
    if found.result is Result.OPTIMAL:
        hold(frame, step, run.values)
    return found.result is Result.OPTIMAL and not found.interrupted


def proven(step: Step, found: Solution, values: Sequence[int]) -> list[int]:
    """The bound of each stage of a step."""
    match found.result:
        case Result.OPTIMAL:
            return step.reached(values)
        case Result.FEASIBLE:
            return step.bounds(values, found.bound)
        case _:
            return [low for low, _ in step.ranges]


def hold(frame: Frame, step: Step, values: Sequence[int]) -> None:
    """Keep what the step has reached while later ones are made small."""
    for terms in step.terms:
        if terms:
            reached = worth(terms, values)
            frame.model.row(terms, reached, reached)


def answer(frame: Frame, steps: list[Step], run: Run, seconds: float) -> Answer:
    """What the run amounts to."""
    if run.values is None:
        return Answer(Status.IMPOSSIBLE if run.impossible else Status.UNKNOWN, None, seconds)
    plan = plan_of(frame, steps, run, run.values)
    is_proven = all(stage.proven for stage in plan.stages)
    return Answer(Status.PROVEN if is_proven else Status.UNPROVEN, plan, seconds)


def plan_of(frame: Frame, steps: list[Step], run: Run, values: Sequence[int]) -> Plan:
    """The chosen seats and arrangements, and what each preference comes to."""
    seats = frame.chosen(values)
    seated = {seat.item for seat in seats}
    not_begun = [[low for low, _ in step.ranges] for step in steps[len(run.bounds) :]]
    bounds = [*run.bounds, *not_begun][: len(steps)]
    return Plan(
        seats=seats,
        arrangements={
            group: way
            for group, way in ways_in(frame.problem)
            if (variable := frame.x[arrangement(group, way)]) is not None and values[variable]
        },
        left_out=tuple(item.id for item in frame.problem.items if item.id not in seated),
        stages=tuple(
            stage_value(name, value, bound, frame)
            for step, its_bounds in zip(steps, bounds, strict=True)
            for name, value, bound in zip(step.names, step.reached(values), its_bounds, strict=True)
        ),
        facts=tuple(rests_on(seats).values()),
    )
