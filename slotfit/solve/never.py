"""Copies that can never be made, however many windows there are: their ends fit in no layout."""

from __future__ import annotations

from slotfit.model.windows import CopyJob, Task
from slotfit.solve.chain import Chain
from slotfit.solve.clock import Clock
from slotfit.solve.demands import Demands, ends_reach, service_up
from slotfit.solve.engine import Manner, Result
from slotfit.solve.layer import Layer
from slotfit.solve.staying import staying_values, stays_up


def never_copied(layer: Layer, clock: Clock) -> int | None:
    """A copy whose ends run together in no layout there may be; None if there is none such."""
    for number, copy in enumerate(layer.task.copies):
        if perhaps_at_the_goal(layer.task, copy):
            continue
        demands = any_layout(layer)
        made = demands.copied[number][0]
        demands.chain.model.row([(made, 1)], 1)
        ends_reach(demands, made, 0, copy)
        if clock.solve(demands.chain.model, Manner.LISTING).result is Result.INFEASIBLE:
            return number
    return None


def perhaps_at_the_goal(task: Task, copy: CopyJob) -> bool:
    """
    Whether it may be made last, when services need not run any longer.

    What has no place at the goal runs then in a retired machine, if at all.
    """
    ends = [task.goal.seat_of.get(item) for item in (*copy.sources, *copy.targets)]
    homes = {seat.offer.machine if seat else None for seat in ends}
    if None in homes and not task.retired:
        return False
    return copy.network or len(homes) < 2


def any_layout(layer: Layer) -> Demands:
    """One layout with the services up that always are; any copies may have been made."""
    chain = Chain(layer, 0)
    chain.base.append(layer.stamp(chain.model, staying_values(layer)))
    demands = Demands(chain)
    demands.copied = [[chain.model.variable()] for _ in layer.task.copies]
    for service in layer.task.services:
        if stays_up(service):
            ups = [service_up(demands, service, 0, m, firm=False) for m in demands.machines]
            chain.model.row([(up, 1) for up in ups], 1)
    return demands
