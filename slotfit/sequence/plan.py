"""From a build to its windows: both ends, the schedule, the referee, and why there is none."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from slotfit.errors import InternalError
from slotfit.model.part import Part
from slotfit.model.problem import Problem
from slotfit.model.status import Status
from slotfit.model.windows import Scheduled
from slotfit.sequence.no_way import NoWay, no_way
from slotfit.sequence.referee import faults
from slotfit.sequence.task import Place, Ready, made_ready
from slotfit.solve.clock import Clock
from slotfit.solve.windows import schedule

Progress = Callable[[str, int, int], None]
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


def sequence(
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
