"""
What can be told of every layout on the way, before any is planned.

Where one machine may be off in a window, a part cannot go from machine to machine without lying
beside them for a stretch. So what a service needs that is never down stays in its machine, and a
mirror does that must always run.
"""

from __future__ import annotations

from slotfit.model.windows import MirrorJob, ServiceJob, Task
from slotfit.solve.layer import Layer


def stays_up(service: ServiceJob) -> bool:
    """Whether it runs in every stretch between windows."""
    return not service.new and service.may_be_down == 0


def bound_items(task: Task) -> dict[str, str]:
    """Item -> the machine in which it runs in every stretch between windows."""
    if task.at_once > 1:
        return {}
    return {
        item: task.today.seat_of[item].offer.machine
        for service in task.services
        if stays_up(service)
        for need in service.needs
        if len(need) == 1
        for item in need[0].items
    }


def bound_home(task: Task, mirror: MirrorJob) -> str | None:
    """The machine that a mirror never leaves; None if it may leave or is in two today."""
    if task.at_once > 1 or mirror.released_by:
        return None
    homes = []
    for rig in task.problem.rigs:
        seats = [[task.today.seat_of.get(item) for item in items] for items in mirror.members]
        here = [all(s and s.offer.machine == rig.id for s in member) for member in seats]
        homes += [rig.id] if sum(here) >= mirror.keep else []
    return homes[0] if len(homes) == 1 else None


def staying_values(layer: Layer) -> dict[int, int]:
    """Items that are bound to one machine run in no other."""
    return {
        variable: 0
        for item, home in bound_items(layer.task).items()
        for machine, variables in layer.in_machine[item].items()
        for variable in variables
        if machine != home
    }
