"""From clauses and ordered preferences to a plan: one stage after another, each proven."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Sequence

from slotfit.errors import InternalError
from slotfit.listing import by_name
from slotfit.model.clause import Clause, arrangement
from slotfit.model.plan import Placed, Plan, Status
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating, rests_on
from slotfit.solve.engine import Result, Solution, Term, solve
from slotfit.solve.frame import Frame, build_frame, ways_in
from slotfit.solve.prefer import Objective, counted_by, pack, preferred, stage_value, worth

COUNTS_TO = 10**8
"""How far one objective counts at most; a larger one has the solver compare too finely."""


def tie_break(frame: Frame) -> list[Objective]:
    """
    What makes one plan of many equal ones, most important first.

    Fewest arrangements other than today's, or where nobody said than the board's own first one,
    later ones dearer; parts in the order of their names, each to the first receptacle it can have;
    lane groups in the order of theirs.
    """
    ways = [*arrangement_ranks(frame)]
    sums = [[term for terms in ways for term in terms], *receptacle_ranks(frame), *ways]
    return pack(frame.model, (("tie-break", terms) for terms in sums if terms), COUNTS_TO)


def arrangement_ranks(frame: Frame) -> Iterator[list[Term]]:
    """Of each lane group its arrangements, as far down its list as they stand; today's first."""
    groups, today = frame.problem.lane_groups, frame.problem.settings_today
    for key in sorted(groups, key=lambda key: by_name(str(key))):
        ways = sorted(groups[key].arrangements, key=lambda way: way.id != today.get(key))
        atoms = (frame.x[arrangement(key, str(way.id))] for way in ways)
        yield [(atom, rank) for rank, atom in enumerate(atoms) if rank and atom is not None]


def receptacle_ranks(frame: Frame) -> Iterator[list[Term]]:
    """Of each part its receptacles, as far down their list; no seat is further than the last."""
    places: dict[str, dict[str, list[int]]] = {}
    for seat in frame.seats:
        places.setdefault(seat.part, {}).setdefault(seat.receptacle, []).append(frame.var(seat))
    for part in sorted(places, key=by_name):
        receptacles = sorted(places[part], key=by_name)
        yield [
            (variable, rank - len(receptacles))
            for rank, receptacle in enumerate(receptacles)
            for variable in places[part][receptacle]
        ]


Progress = Callable[[str, int, int], None]
"""Called with a stage's name, its number and the number of stages."""


def silent(stage: str, number: int, stages: int) -> None:
    """No progress shown."""


LARGE = 5000
"""Of a model of more variables some plan is found first, should time run out before the best."""


def place(
    problem: Problem,
    seating: Seating,
    clauses: Iterable[Clause],
    seconds: float = 60.0,
    progress: Progress = silent,
    *,
    any_of_the_best: bool = False,
) -> Placed:
    """
    The best plan: each preference in turn made as small as it can be, the earlier ones held.

    `any_of_the_best`: which of several equally good plans it is does not matter.
    Out of time or on Ctrl-C it is the best plan so far with the bounds proven so far.
    """
    began = time.monotonic()
    frame = build_frame(problem, seating, stated := tuple(clauses), in_order=True)
    model = frame.model
    # Of small models the best comes as soon as any, and none is looked for; unless none is best.
    any_first = len(model.domains) > LARGE or not problem.preferences
    found = solve(model, seconds) if any_first else Solution(Result.OPTIMAL)
    is_plan = any_first and found.result in (Result.OPTIMAL, Result.FEASIBLE)
    values: Sequence[int] | None = found.values if is_plan else None
    steps = preferred(frame, wider=any_of_the_best)
    if values is not None:  # it knows nothing yet of the helpers that the preferences made
        values = model.settled([*values, *[0] * (len(model.domains) - len(values))])
    bounds: list[list[int]] = []  # of each step that was begun, the proven one of each stage
    try:
        every = [*steps, *([] if any_of_the_best else tie_break(frame))]
        if found.result is Result.OPTIMAL and not found.interrupted:
            left = seconds - (time.monotonic() - began)
            for one in taken(frame, every, values, left, progress):
                found, values, bound = one
                bounds.append(bound)
    except KeyboardInterrupt:
        pass  # a second Ctrl-C, or one between two steps: what has been found is the answer
    plan = None if values is None else plan_of(frame, steps, bounds, values)
    status = Status.IMPOSSIBLE if found.result is Result.INFEASIBLE else Status.UNKNOWN
    if plan:
        is_proven = all(stage.proven for stage in plan.stages)
        status = Status.PROVEN if is_proven else Status.UNPROVEN
    return Placed(problem, seating, stated, status, plan, time.monotonic() - began)


def taken(
    frame: Frame,
    steps: list[Objective],
    values: Sequence[int] | None,
    seconds: float,
    progress: Progress,
) -> Iterator[tuple[Solution, Sequence[int] | None, list[int]]]:
    """
    What the solver says to each step, the best values so far, and what is proven of its stages.

    `values`: of a plan that is known already. Ends with the first step that is not proven.
    """
    began = time.monotonic()
    for number, step in enumerate(steps):
        progress(step.names[0], number, len(steps))
        left = seconds - (time.monotonic() - began)
        if left <= 0:
            return
        frame.model.minimise(step.objective())
        found = solve(frame.model, left)
        if found.result is Result.INFEASIBLE and values is not None:
            raise InternalError(f"no plan is as good as the last in {', '.join(step.names)}")
        if found.result in (Result.OPTIMAL, Result.FEASIBLE):  # no values: nothing is to choose
            values = frame.model.settled(found.values)
        yield found, values, [] if values is None else proven(step, found, values)
        if values is None or found.result is not Result.OPTIMAL or found.interrupted:
            return
        for terms in step.terms:  # held while later ones are made small
            if terms:
                reached = worth(terms, values)
                frame.model.row(terms, reached, reached)


def proven(step: Objective, found: Solution, values: Sequence[int]) -> list[int]:
    """The bound of each stage of a step."""
    match found.result:
        case Result.OPTIMAL:
            return step.reached(values)
        case Result.FEASIBLE:
            return step.bounds(values, found.bound)
        case _:
            return [low for low, _ in step.ranges]


def plan_of(
    frame: Frame, steps: list[Objective], begun: list[list[int]], values: Sequence[int]
) -> Plan:
    """The chosen seats and arrangements, and what each preference comes to."""
    seats = frame.chosen(values)
    seated = {seat.part for seat in seats}
    not_begun = [[low for low, _ in step.ranges] for step in steps[len(begun) :]]
    bounds = [*begun, *not_begun][: len(steps)]
    known = {
        name: (value, bound)
        for step, its_bounds in zip(steps, bounds, strict=True)
        for name, value, bound in zip(step.names, step.reached(values), its_bounds, strict=True)
    }
    return Plan(
        seats=seats,
        arrangements={
            group: way
            for group, way in ways_in(frame.problem)
            if (variable := frame.x[arrangement(group, way)]) is not None and values[variable]
        },
        left_out=tuple(part.id for part in frame.problem.parts if part.id not in seated),
        stages=tuple(
            stage_value(stage, *known[counted], frame)
            for stage, counted in counted_by(frame).items()
        ),
        facts=tuple(rests_on(seats).values()),
    )
