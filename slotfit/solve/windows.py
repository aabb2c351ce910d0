"""
One number of windows: whether it does, and the best sequence of so many.

The model grows: first only what must hold, for a yes or no, then what is to be made small.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from slotfit.errors import InternalError
from slotfit.listing import counted, natural
from slotfit.model.reason import Doubt
from slotfit.model.seat import Seat, settles
from slotfit.model.windows import (
    Layout,
    Schedule,
    Scheduled,
    Task,
    Totals,
    Window,
    changes_between,
    moves_between,
)
from slotfit.solve.chain import CannotBeError, Chain, Layer, chain_of, layer_of, least_touches
from slotfit.solve.demands import Demands, demand_all, is_never_copied, miss_all
from slotfit.solve.engine import Clock, Manner, Result, Term
from slotfit.solve.place import Progress
from slotfit.solve.prefer import Objective, pack

PACKED = 10**6
"""Consecutive figures share one objective while it counts no further than this."""


@dataclass
class Attempt:
    """One number of windows: the model, and what has been found in it."""

    demands: Demands
    figures: dict[str, list[Term]] = field(default_factory=dict)
    """What is to be made small, in order; empty until a way is known to exist."""
    steps: list[Objective] = field(default_factory=list)
    values: Sequence[int] | None = None
    bounds: list[list[int]] = field(default_factory=list)
    """For each step that was begun, the proven bound of each of its figures."""

    @property
    def chain(self) -> Chain:
        """The layouts."""
        return self.demands.chain


def best_of(layer: Layer, windows: int, clock: Clock) -> tuple[Attempt | None, Result]:
    """The best of so many windows: straight ways first, then any; else why there is none."""
    straight = straight_way(layer, windows, clock)
    if straight and is_best(straight, clock):
        return straight, Result.OPTIMAL
    attempt = attempt_at(layer, windows, direct=False)
    if attempt is None:
        return None, Result.INFEASIBLE
    if straight and straight.values is not None:
        better_than(attempt, straight)
    result = clock.solve(attempt.chain.model, Manner.LISTING).result
    if result is Result.OPTIMAL:
        improve(attempt, clock)
        if attempt.values is not None:
            return attempt, result
    if straight and straight.values is not None:
        straight.bounds = [step.reached(straight.values) for step in straight.steps]
        if result is not Result.INFEASIBLE:
            straight.bounds.clear()  # what is best of all straight ways may not be best of all
        return straight, result
    return None, result if result is Result.INFEASIBLE else Result.UNKNOWN


def can_do(layer: Layer, windows: int, clock: Clock) -> Result:
    """Whether so many windows do; a straight way is the quickest yes."""
    for direct in (True, False):
        attempt = attempt_at(layer, windows, direct=direct)
        if attempt is not None:
            manner = Manner.YES_OR_NO if direct else Manner.LISTING
            result = clock.solve(attempt.chain.model, manner).result
            if result is Result.OPTIMAL or not direct:
                return result
    return Result.INFEASIBLE


def better_than(attempt: Attempt, straight: Attempt) -> None:
    """Ask only for what beats a straight way; nothing does if that cannot be."""
    values = straight.values or ()
    reached = [worth for step in straight.steps for worth in step.reached(values)]
    prepare(attempt)
    names = list(attempt.figures)
    together = Objective()
    for name, terms in attempt.figures.items():
        together.add(name, terms, attempt.chain.model.range_of(terms))
    worth = sum(
        value * weight
        for value, weight in zip(reached[: len(names)], together.weights, strict=True)
    )
    attempt.chain.model.row(together.objective(), high=worth - 1)


def straight_way(layer: Layer, windows: int, clock: Clock) -> Attempt | None:
    """The best straight way; None if there is none."""
    attempt = attempt_at(layer, windows, direct=True)
    if attempt is None or clock.solve(attempt.chain.model).result is not Result.OPTIMAL:
        return None
    improve(attempt, clock)
    return attempt


def is_best(straight: Attempt, clock: Clock) -> bool:
    """Whether no sequence that takes a part elsewhere can be better."""
    if straight.values is None or not straight.bounds:
        return False
    task = straight.chain.task
    reached = [worth for step in straight.steps for worth in step.reached(straight.values)]
    proven_bounds = [bound for bounds in straight.bounds for bound in bounds]
    least = sum(least_touches(task).values())
    used = least_used(straight.chain.layer, straight.chain.windows, clock)
    return reached[:2] == [used, least] == proven_bounds[:2]


def least_used(layer: Layer, windows: int, clock: Clock) -> int:
    """
    Windows in which some machine is off, at least, where no fewer than `windows` windows do.

    A window without work could be left out, were it not for arrivals: so it takes as many as it
    would if everything were there already. Where windows are agreed by number, or something comes
    or goes while machines run, nothing is known.
    """
    task = layer.task
    if layer.live:
        return 0
    if any(one.windows is not None and not one.new for one in task.services):
        return int(bool(least_touches(task)))
    if not task.arrivals:
        return windows
    without_waiting = replace(layer, task=replace(task, arrivals={}))
    for fewer in range(windows):
        if can_do(without_waiting, fewer, clock) is not Result.INFEASIBLE:
            return fewer
    return windows


def attempt_at(layer: Layer, windows: int, *, direct: bool) -> Attempt | None:
    """The model of what must hold; None if it is plain that so few windows do not do."""
    try:
        return Attempt(demand_all(chain_of(layer, windows, direct=direct)))
    except CannotBeError:
        return None


def prepare(attempt: Attempt) -> None:
    """Add what is to be made small, if that has not been done."""
    if not attempt.figures:
        miss_all(attempt.demands)
        attempt.figures = figures(attempt.demands)


def improve(attempt: Attempt, clock: Clock) -> None:
    """One objective after the other, as far as time goes."""
    model = attempt.chain.model
    prepare(attempt)
    attempt.steps = pack(model, [*attempt.figures.items(), *tie_break(attempt.demands)], PACKED)
    for step in attempt.steps:
        model.minimise(step.objective())
        solution = clock.solve(model, Manner.BEST)
        if solution.result is Result.INFEASIBLE:
            raise InternalError(f"no sequence is as good as the last one in {step.names}")
        if solution.values:
            attempt.values = model.settled(solution.values)
        if attempt.values is None:
            return
        values = step.reached(attempt.values)
        if solution.result is not Result.OPTIMAL:
            known = solution.result is Result.FEASIBLE
            lowest = [low for low, _ in step.ranges]
            attempt.bounds.append(step.bounds(attempt.values, solution.bound) if known else lowest)
            return
        attempt.bounds.append(values)
        for terms, reached in zip(step.terms, values, strict=True):
            if terms:
                model.row(terms, reached, reached)


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
    known = {*task.today.facts, *task.goal.facts}
    users: dict[tuple[str, ...], list[list[Term]]] = {}
    for variable, same in enumerate(layer.seats):
        for fact in same[0].facts:
            if fact.id not in known:
                terms = [(variable, 1), *settling(layer, same[0].part, fact)]
                users.setdefault(fact.id, []).append(terms)
    bases = [chain.base[stretch] for stretch in chain.between]
    return [
        (chain.model.rise(1, [(moved_by(base, one), 0) for one in terms for base in bases]), 1)
        for terms in users.values()
        if bases
    ]


def moved_by(base: int, terms: Iterable[Term]) -> list[Term]:
    """The sum in the stretch whose variables begin at `base`."""
    return [(variable + base, weight) for variable, weight in terms]


def settling(layer: Layer, part: str, fact: Doubt) -> list[Term]:
    """What takes a fact away again: seats that settle it for that part."""
    others = enumerate(layer.seats if fact.can_be_settled else ())
    return [(variable, -1) for variable, same in others if settles(same[0], part, fact)]


def tie_break(demands: Demands) -> list[tuple[str, list[Term]]]:
    """Copies early, parts early at their goal, then each to the first receptacle it can have."""
    chain = demands.chain
    early = [(v, stretch) for made in demands.copied for stretch, v in enumerate(made)]
    places = chain.task.goal.places
    early += [
        (variable, -1)
        for stretch in chain.between
        for part, receptacle in places.items()
        for variable, _ in chain.at(stretch, part, receptacle)
    ]
    ranks = [
        (variable, number)
        for stretch in chain.between
        for part, receptacles in chain.layer.at.items()
        for number, receptacle in enumerate(sorted(receptacles, key=natural))
        for variable, _ in chain.at(stretch, part, receptacle)
    ]
    return [("early", early), ("rank", ranks)]


EVER = 10**6
"""Windows are ruled out up to this number where none at all do."""

LOOK_AHEAD = 5
"""After so many windows did not do it is worth asking whether the most that are allowed do."""


def schedule(task: Task, clock: Clock, progress: Progress) -> Scheduled:
    """
    The best schedule, one window more at a time, or the word that none of those allowed does.

    Out of time, or at Ctrl-C, it is the best so far, or what is ruled out by then.
    """
    ruled_out, most = -1, task.most_windows
    try:
        layer = layer_of(task)
        if is_never_copied(layer, clock):
            return Scheduled(None, clock.spent, EVER, none_does=True)
        for windows in range(most + 1):
            progress(counted(windows, "window"), windows, most + 1)
            ask = windows == LOOK_AHEAD and more_is_never_worse(task)
            if ask and can_do(layer, most, clock) is Result.INFEASIBLE:
                return Scheduled(None, clock.spent, most, none_does=True)
            attempt, result = best_of(layer, windows, clock)
            if attempt is not None:
                return Scheduled(schedule_of(attempt, ruled_out), clock.spent, ruled_out)
            if result is not Result.INFEASIBLE:
                return Scheduled(None, clock.spent, ruled_out)
            ruled_out = windows
    except KeyboardInterrupt:  # between two solves: what is ruled out by then stays so
        clock.stopped = True
        return Scheduled(None, clock.spent, ruled_out)
    return Scheduled(None, clock.spent, ruled_out, none_does=True)


def possible(task: Task, clock: Clock) -> Result:
    """Whether any number of windows up to the most does: OPTIMAL for yes."""
    layer = layer_of(task)
    if is_never_copied(layer, clock):
        return Result.INFEASIBLE
    if more_is_never_worse(task):
        return can_do(layer, task.most_windows, clock)
    for windows in range(task.most_windows + 1):
        result = can_do(layer, windows, clock)
        if result is not Result.INFEASIBLE:
            return result
    return Result.INFEASIBLE


def more_is_never_worse(task: Task) -> bool:
    """
    Whether a window without work can always come first.

    Nothing changes in it, and what runs today goes on running; only windows that are agreed by
    their numbers would be others.
    """
    return all(one.windows is None or one.new for one in task.services)


def schedule_of(attempt: Attempt, ruled_out: int) -> Schedule:
    """The schedule that the values describe; so many windows, and fewer, are ruled out."""
    chain, values = attempt.chain, attempt.values or ()
    layouts = [chain.task.today]
    layouts += [layout_at(chain, values, stretch) for stretch in range(1, chain.windows + 1)]
    reached: list[int] = []
    bounds: list[int] = []
    for number, step in enumerate(attempt.steps):
        reached += step.reached(values)
        known = number < len(attempt.bounds)
        bounds += attempt.bounds[number] if known else [low for low, _ in step.ranges]
    constant = attempt.demands.always_missed
    return Schedule(
        today=chain.task.today,
        windows=tuple(
            Window(
                number,
                off=tuple(name for name, v in chain.off[number - 1].items() if values[v]),
                moves=moves_between(before, after),
                changes=tuple(changes_between(chain.task.problem, before, after)),
                after=after,
            )
            for number, (before, after) in enumerate(pairwise(layouts), 1)
        ),
        copied=tuple(
            next(stretch for stretch, variable in enumerate(made) if values[variable])
            for made in attempt.demands.copied
        ),
        totals=totals(chain.windows, reached, constant),
        bound=totals(ruled_out + 1, bounds, constant),
    )


def totals(windows: int, sums: Sequence[int], constant: int) -> Totals:
    """The figures of the steps, in their order."""
    used, touches, reduced, facts, downs, changes = sums[:6]
    return Totals(windows, used, touches, reduced + constant, facts, downs, changes)


def layout_at(chain: Chain, values: Sequence[int], stretch: int) -> Layout:
    """The layout of one stretch."""
    base, layer = chain.base[stretch], chain.layer
    chosen = {
        part: receptacle
        for part, receptacles in layer.at.items()
        for receptacle, variables in receptacles.items()
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
    for seat in sorted(picked, key=lambda seat: seat.upstream.depth):
        if not seat.parents or not keys.isdisjoint(seat.parents):
            keys.add(seat.key)
    return tuple(seat for seat in layer.task.seating.seats if seat.key in keys)
