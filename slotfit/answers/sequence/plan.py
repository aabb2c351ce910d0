"""From a build to its windows: both ends, the schedule, the referee, and why there is none."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from slotfit.answers.no_plan.case import canonical
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.place.plan import Progress, place
from slotfit.answers.sequence.no_way import NoWay, no_way
from slotfit.answers.sequence.referee import faults
from slotfit.answers.sequence.task import Place, Ready, made_ready, with_goal
from slotfit.errors import InternalError
from slotfit.model.part import Part
from slotfit.model.plan import Placed, Status
from slotfit.model.problem import Problem
from slotfit.model.windows import Scheduled
from slotfit.solve.engine import Clock
from slotfit.solve.place import silent
from slotfit.solve.windows import schedule

Catalogued = Callable[[], Sequence[Part]]
"""Carriers that could be borrowed; only asked for where there is no way."""


@dataclass(frozen=True)
class Sequenced:
    """The answer."""

    ready: Ready
    scheduled: Scheduled | None
    """None where there is no goal to go to, or time ran out before."""
    no_way: NoWay | None = None

    @property
    def status(self) -> Status:
        """How far the answer is proven; a goal that may not be the best takes nothing from it."""
        if self.scheduled:
            return self.scheduled.status
        goal = self.ready.goal
        return Status.IMPOSSIBLE if goal and goal.status is Status.IMPOSSIBLE else Status.UNKNOWN


def sequence_of(
    problem: Problem, place: Place, catalogued: Catalogued, clock: Clock, progress: Progress
) -> Sequenced:
    """
    The best sequence of windows, judged by the referee, or why there is none.

    Raises InputError if the file contradicts itself, InternalError if solver and referee disagree.
    """
    progress("today and the goal", 0, 1)
    ready = made_ready(problem, place, clock)
    if ready.task is None:
        return Sequenced(ready, None)
    made = schedule(ready.task, clock, progress)
    if made.schedule:
        wrong = list(faults(ready.task, made.schedule))
        if wrong:
            raise InternalError("solver and referee disagree: " + "; ".join(wrong))
    if made.status is not Status.IMPOSSIBLE:
        return Sequenced(ready, made)
    try:
        why = no_way(ready.task, catalogued(), clock, progress)
    except KeyboardInterrupt:  # that there is no way is known; why is not
        return Sequenced(ready, made)
    return Sequenced(ready, made, why)


def sequence(
    problem: Problem,
    shop: Shop | None = None,
    seconds: float = 60.0,
    progress: Progress | None = None,
    goal: Placed | None = None,
) -> Sequenced:
    """
    The fewest windows from today's layout to the plan, checked by their own referee.

    `shop` has carriers that could be borrowed where there is no way; without it only the build's
    own kinds count. `goal`: what `place` answered to `goal_of` the problem, if that was asked
    already. Raises InputError if the file contradicts itself.
    """

    def best(asked: Problem, left: float) -> Placed:
        return goal or place(asked, left)

    def carriers_of_shop() -> tuple[Part, ...]:
        return shop.parts("carrier") if shop else ()

    return sequence_of(problem, best, carriers_of_shop, Clock(seconds), progress or silent)


def goal_of(problem: Problem) -> Problem:
    """The problem whose plan a sequence leads to; the same one where none is asked for."""
    if not (problem.retire or problem.sequence.model_dump(exclude_defaults=True)):
        return problem

    return with_goal(canonical(problem))
