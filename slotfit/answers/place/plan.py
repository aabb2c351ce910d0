"""From a problem to its best plan, checked by the referee."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

from slotfit.engine.referee import faults
from slotfit.engine.seats import MANY_SEATS, Held, hold, seat_by
from slotfit.engine.shortage import crowds_at_once, shortages
from slotfit.engine.upstream import Opening
from slotfit.errors import InputError, InternalError, Mistake
from slotfit.model.clause import Clause
from slotfit.model.plan import Placed, Status
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.model.seat import Seating
from slotfit.model.words import Stage
from slotfit.rulebook import PLAN_RULES, SEAT_RULES
from slotfit.solve import place as solver
from slotfit.solve.engine import Clock
from slotfit.solve.place import Progress


class OutOfTimeError(Exception):
    """Time ran out before everything that is possible was stated."""


def seats(problem: Problem, clock: Clock | None = None) -> Seating:
    """
    Every possible seat; of very many, those are left out that only swap parts alike.

    Raises OutOfTimeError once the clock, if any, has run out.
    """

    def judged(problem: Problem, receptacle: Receptacle, part: Part, way: Opening) -> Held:
        in_time(clock)
        return hold(SEAT_RULES, problem, receptacle, part, way)

    return seat_by(judged, problem, MANY_SEATS)


def in_time(clock: Clock | None) -> None:
    """Raises OutOfTimeError if the clock has run out."""
    if clock is not None and not clock.left:
        raise OutOfTimeError


def state_all(
    problem: Problem, seating: Seating | None = None, clock: Clock | None = None
) -> tuple[Seating, tuple[Clause, ...]]:
    """
    Every possible seat (see `seats`), or those given, and every clause that couples them.

    Raises OutOfTimeError.
    """
    seating = seating or seats(problem, clock)
    clauses: list[Clause] = []
    for rule in PLAN_RULES:
        in_time(clock)
        clauses += rule.clauses(problem, seating)
    return seating, tuple(clauses)


def preferring(problem: Problem, stages: str) -> Problem:
    """The same problem with its preferences in another order. Raises InputError."""
    wanted = [stage.strip() for stage in stages.split(",") if stage.strip()]
    known: tuple[Stage, ...] = get_args(Stage)
    wrong = [stage for stage in wanted if stage not in known]
    if wrong or len(set(wanted)) < len(wanted):
        text = f"{', '.join(wrong) or 'a preference'} is not known or named twice"
        raise InputError([Mistake("--prefer", "", f"{text}; expected some of {', '.join(known)}")])
    order = tuple(sorted((s for s in known if s in wanted), key=wanted.index))
    return replace(problem, preferences=order)


def best_plan(
    problem: Problem,
    seconds: float = 60.0,
    progress: Progress | None = None,
    seating: Seating | None = None,
) -> Placed:
    """
    The best plan, checked by the referee. Raises InternalError if the two disagree.

    What counting alone rules out is not searched. `seconds` bind what is stated, too.

    `seating`: only these seats; left out, all that the rules allow.
    """
    clock = Clock(seconds)
    crowded = () if seating is not None else tuple(crowds_at_once(problem, SEAT_RULES))
    if crowded:
        return Placed(problem, NOTHING, (), Status.IMPOSSIBLE, None, clock.spent, crowded)
    try:
        seating, clauses = state_all(problem, seating, clock)
    except OutOfTimeError:
        return Placed(problem, NOTHING, (), Status.UNKNOWN, seconds=clock.spent)
    if short := tuple(shortages(seating, clauses)):
        return Placed(problem, seating, clauses, Status.IMPOSSIBLE, None, clock.spent, short)
    placed = solver.place(problem, seating, clauses, clock.left, progress or solver.silent)
    return replace(refereed(placed), seconds=clock.spent)


NOTHING = Seating((), ())
"""No seat was judged."""


def refereed(placed: Placed) -> Placed:
    """The same, once the referee has found nothing wrong. Raises InternalError if it has."""
    problem, plan = placed.problem, placed.plan
    if plan and (wrong := [*faults(problem, plan, placed.clauses, SEAT_RULES)]):
        raise InternalError("solver and referee disagree: " + "; ".join(wrong))
    return placed
