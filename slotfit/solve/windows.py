"""
The fewest windows from today's layout to the goal, and of those sequences the best.

One window more at a time: the first number of windows that does is the fewest. The order of what
is made small then is that of `Totals`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from slotfit.errors import InternalError
from slotfit.model.plan import Status
from slotfit.model.seat import Seat
from slotfit.model.windows import (
    Change,
    Layout,
    Move,
    Schedule,
    Scheduled,
    Task,
    Totals,
    Window,
)
from slotfit.natural_order import natural
from slotfit.solve.chain import CannotBeError, Chain, chain_of
from slotfit.solve.clock import Clock
from slotfit.solve.demands import Demands, demand_all
from slotfit.solve.direct import least_touches, least_used
from slotfit.solve.engine import Result, Solution, Term
from slotfit.solve.layer import Layer, layer_of
from slotfit.solve.steps import Step, pack

PACKED = 10**6
"""Consecutive figures share one objective while it counts no further than this."""

Progress = Callable[[str, int, int], None]


@dataclass
class Attempt:
    """One number of windows: the model, and what has been found in it."""

    demands: Demands
    steps: list[Step]
    values: Sequence[int] | None = None
    bounds: list[list[int]] = field(default_factory=list)
    """For each step that was begun, the proven bound of each of its figures."""

    @property
    def chain(self) -> Chain:
        """The layouts."""
        return self.demands.chain


def schedule(task: Task, clock: Clock, progress: Progress) -> Scheduled:
    """
    The best schedule, or the word that none of up to `most_windows` windows does.

    Out of time, or at Ctrl-C, it is the best so far, or what is ruled out by then.
    """
    layer = layer_of(task)
    ruled_out = -1
    for windows in range(task.most_windows + 1):
        name = "1 window" if windows == 1 else f"{windows} windows"
        progress(name, windows, task.most_windows + 1)
        attempt, result = tried(layer, windows, clock)
        if attempt is not None:
            return found(attempt, clock, ruled_out)
        if result is not Result.INFEASIBLE:
            return Scheduled(Status.UNKNOWN, None, clock.spent, ruled_out)
        ruled_out = windows
    return Scheduled(Status.IMPOSSIBLE, None, clock.spent, ruled_out)


def tried(layer: Layer, windows: int, clock: Clock) -> tuple[Attempt | None, Result]:
    """The best of so many windows: straight ways first, then any; else why there is none."""
    straight = begin(layer, windows, direct=True)
    if straight and run(straight, clock) is Result.OPTIMAL and is_best(straight):
        return straight, Result.OPTIMAL
    attempt = begin(layer, windows, direct=False)
    result = run(attempt, clock) if attempt else Result.INFEASIBLE
    if attempt and attempt.values is not None:
        return attempt, result
    if straight and straight.values is not None:
        return without_bounds(straight), result
    return None, result


def is_best(straight: Attempt) -> bool:
    """Whether no sequence that takes a part elsewhere can be better."""
    values, task = straight.values or (), straight.chain.task
    reached = [worth for step in straight.steps for worth in step.reached(values)]
    least = sum(least_touches(task).values())
    return reached[:2] == [least_used(task, straight.chain.windows), least]


def without_bounds(straight: Attempt) -> Attempt:
    """What is proven among straight ways is not proven among all."""
    return replace(straight, bounds=[])


def begin(layer: Layer, windows: int, *, direct: bool) -> Attempt | None:
    """The model; None if it is plain that so few windows do not do."""
    try:
        demands = demand_all(chain_of(layer, windows, direct=direct))
    except CannotBeError:
        return None
    sums = [*figures(demands).items(), *tie_break(demands)]
    return Attempt(demands, pack(demands.chain.model, sums, PACKED))


def run(attempt: Attempt, clock: Clock) -> Result:
    """One objective after the other; what the first one came to."""
    first = Result.UNKNOWN
    model = attempt.chain.model
    for number, step in enumerate(attempt.steps):
        model.minimise(step.objective())
        solution = clock.solve(model)
        first = solution.result if not number else first
        if solution.result is Result.INFEASIBLE and number:
            raise InternalError(f"no sequence is as good as the last one in {step.names}")
        if solution.values:
            attempt.values = model.settled(solution.values)
        if attempt.values is None:
            return first
        attempt.bounds.append(proven(step, solution, attempt.values))
        if solution.result is not Result.OPTIMAL:
            return first
        for terms, reached in zip(step.terms, step.reached(attempt.values), strict=True):
            if terms:
                model.row(terms, reached, reached)
    return first


def proven(step: Step, solution: Solution, values: Sequence[int]) -> list[int]:
    """The bound of each figure of a step."""
    if solution.result is Result.OPTIMAL:
        return step.reached(values)
    if solution.result is Result.FEASIBLE:
        return step.bounds(values, solution.bound)
    return [low for low, _ in step.ranges]


def figures(demands: Demands) -> dict[str, list[Term]]:
    """What is made small, by the name it has in `Totals`."""
    chain = demands.chain
    return {
        "used": used(chain),
        "touches": [(v, 1) for window in chain.touched for v in window.values()],
        "reduced": demands.missed,
        "facts": new_facts(chain),
        "downs": [(v, 1) for window in chain.off for v in window.values()],
        "changes": [(v, 1) for window in chain.changed for v in window.values()],
    }


def used(chain: Chain) -> list[Term]:
    """Windows in which a machine is off."""
    model = chain.model
    return [(model.rise(1, [([(v, 1)], 0) for v in off.values()]), 1) for off in chain.off]


def new_facts(chain: Chain) -> list[Term]:
    """Facts that some layout on the way rests on, and neither today's nor the goal."""
    layer, task = chain.layer, chain.task
    ends = (*task.today.seats, *task.goal.seats)
    known = {fact.id for seat in ends for fact in seat.facts}
    users: dict[str, list[int]] = {}
    for variable, same in enumerate(layer.seats):
        for name in layer.worth[same[0].key].facts:
            if name not in known:
                users.setdefault(name, []).append(variable)
    return [
        (
            chain.model.rise(
                1, [([(v + chain.base[s], 1)], 0) for v in variables for s in chain.between]
            ),
            1,
        )
        for variables in users.values()
        if chain.between
    ]


def tie_break(demands: Demands) -> list[tuple[str, list[Term]]]:
    """Copies early, parts early at their goal, then each to the first receptacle it can have."""
    chain = demands.chain
    early = [(v, stretch) for made in demands.copied for stretch, v in enumerate(made)]
    places = chain.task.goal.places
    early += [
        (variable, -1)
        for stretch in chain.between
        for item, site in places.items()
        for variable, _ in chain.at(stretch, item, site)
    ]
    ranks = [
        (variable, number)
        for stretch in chain.between
        for item, sites in chain.layer.at.items()
        for number, site in enumerate(sorted(sites, key=natural))
        for variable, _ in chain.at(stretch, item, site)
    ]
    return [("early", early), ("rank", ranks)]


def found(attempt: Attempt, clock: Clock, ruled_out: int) -> Scheduled:
    """The schedule that the values describe."""
    chain, values = attempt.chain, attempt.values or ()
    layouts = [chain.task.today]
    layouts += [layout_at(chain, values, stretch) for stretch in range(1, chain.windows + 1)]
    windows = [window_of(chain, values, layouts, number) for number in range(1, len(layouts))]
    reached, bounds = [], []
    for number, step in enumerate(attempt.steps):
        reached += step.reached(values)
        known = number < len(attempt.bounds)
        bounds += attempt.bounds[number] if known else [low for low, _ in step.ranges]
    constant = attempt.demands.always_missed
    made = Schedule(
        today=chain.task.today,
        windows=tuple(windows),
        copied=tuple(stretch_of(made, values) for made in attempt.demands.copied),
        totals=totals(chain.windows, reached, constant),
        bound=totals(ruled_out + 1, bounds, constant),
    )
    is_proven = made.totals == made.bound
    return Scheduled(Status.PROVEN if is_proven else Status.UNPROVEN, made, clock.spent, ruled_out)


def totals(windows: int, sums: Sequence[int], constant: int) -> Totals:
    """The figures of the steps, in their order."""
    used, touches, reduced, facts, downs, changes = sums[:6]
    return Totals(windows, used, touches, reduced + constant, facts, downs, changes)


def stretch_of(made: Sequence[int], values: Sequence[int]) -> int:
    """The stretch in which a copy is made."""
    return next(stretch for stretch, variable in enumerate(made) if values[variable])


def layout_at(chain: Chain, values: Sequence[int], stretch: int) -> Layout:
    """The layout of one stretch."""
    base, layer = chain.base[stretch], chain.layer
    chosen = {
        item: site
        for item, sites in layer.at.items()
        for site, variables in sites.items()
        if any(values[v + base] for v in variables)
    }
    arrangements = {
        group: way
        for group, ways in layer.ways.items()
        for way, variable in ways.items()
        if values[variable + base]
    }
    return Layout(chosen, arrangements, seats_at(layer, values, base))


def seats_at(layer: Layer, values: Sequence[int], base: int) -> tuple[Seat, ...]:
    """The seats chosen; of those that share a variable, the one that can be."""
    picked = [seat for v, same in enumerate(layer.seats) if values[v + base] for seat in same]
    keys: set[str] = set()
    for seat in sorted(picked, key=lambda seat: seat.offer.depth):
        if not seat.parents or not keys.isdisjoint(seat.parents):
            keys.add(seat.key)
    return tuple(seat for seat in layer.task.seating.seats if seat.key in keys)


def window_of(
    chain: Chain, values: Sequence[int], layouts: Sequence[Layout], number: int
) -> Window:
    """What is done in one window."""
    before, after = layouts[number - 1], layouts[number]
    items = sorted(chain.layer.at, key=natural)
    return Window(
        number,
        off=tuple(m for m, variable in chain.off[number - 1].items() if values[variable]),
        moves=tuple(
            Move(item, before.places.get(item), after.places.get(item))
            for item in items
            if before.places.get(item) != after.places.get(item)
        ),
        changes=tuple(
            Change(group, before.arrangements[group], way)
            for group, way in after.arrangements.items()
            if before.arrangements[group] != way
        ),
        after=after,
    )
