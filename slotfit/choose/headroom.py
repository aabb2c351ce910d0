"""What could still be added to a plan."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from slotfit import api
from slotfit.choose.additions import added, keeping, with_parts
from slotfit.choose.left_out import left
from slotfit.choose.obstacle import obstacles
from slotfit.choose.probes import Probe
from slotfit.model.placed import Placed
from slotfit.model.plan import Answer, Plan
from slotfit.model.problem import Problem
from slotfit.model.status import Status

Tell = Callable[[str, int, int], None]


@dataclass(frozen=True)
class Room:
    """What became of one addition."""

    probe: Probe
    fits: int
    counted: bool
    """One more was proven not to fit, or was not asked for."""
    placed: Placed | None
    """The build with as many as fit; None if none does."""
    why_no_more: str


@dataclass(frozen=True)
class Held:
    """A plan as today's layout, to which things are added."""

    placed: Placed
    plan: Plan

    @property
    def base(self) -> Problem:
        """The build in which every part is to stay as good as it is."""
        return self.placed.problem

    def with_(self, probe: Probe, count: int) -> Problem:
        """So many of an addition beside it."""
        return with_parts(self.base, added(self.base, probe, count))


def held(placed: Placed, seconds: float) -> Held | None:
    """The plan as what is there; None without one."""
    if placed.answer.plan is None:
        return None
    again = api.place(keeping(placed.problem, placed.answer.plan), seconds)
    return Held(again, again.answer.plan) if again.answer.plan else None


def room_for(there: Held, probe: Probe, seconds: float) -> Room:
    """As many of one addition as fit at once, found by doubling and halving."""
    began = time.monotonic()
    tried = api.place(there.with_(probe, 1), left(seconds, began))
    too_many = min(probe.most, receptacles_for(there, probe, tried)) + 1
    best: Placed | None = None
    fits, count, step = 0, 1, 1
    while True:
        if tried.answer.plan:
            best, fits, step = tried, count, step * 2
        else:
            too_many, step = count, max((count - fits) // 2, 1)
        if fits + 1 >= too_many:
            break
        count = min(fits + step, too_many - 1)
        tried = api.place(there.with_(probe, count), left(seconds, began))
    if fits == probe.most:
        return Room(probe, fits, counted=True, placed=best, why_no_more="")
    if count == too_many and tried.answer.status is Status.UNKNOWN:
        return Room(probe, fits, counted=False, placed=best, why_no_more="")
    return Room(
        probe, fits, counted=True, placed=best, why_no_more=why_not(there, probe, fits, best)
    )


def receptacles_for(there: Held, probe: Probe, tried: Placed) -> int:
    """
    How many of it there are receptacles for.

    Parts that bring receptacles of their own kind may carry one another: nothing but what is asked
    for bounds those.
    """
    first, each = probe.parts[0]
    if any(one.form == first.plug.form for part, _ in probe.parts for one in part.receptacles):
        return probe.most
    name = next(item.id for item in tried.problem.items if item.id not in there.base.item)
    return len({seat.site for seat in tried.seating.by_item.get(name, [])}) // each


def why_not(there: Held, probe: Probe, fits: int, best: Placed | None) -> str:
    """What stands in the way of one more, beside those that fit."""
    problem = there.with_(probe, fits + 1)
    seating, clauses = api.state_all(problem)
    stated = Placed(problem, seating, clauses, Answer(Status.IMPOSSIBLE, None, 0.0))
    plan = best.answer.plan if best and best.answer.plan else there.plan
    seated = {seat.item for seat in plan.seats}
    out = [item.id for item in problem.items if item.id not in seated]
    for found in obstacles(stated, plan, out).values():
        if found.rule:
            return str(found)
    return "each of its parts would fit, but not all of them together"
