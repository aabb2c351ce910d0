"""
Sequences that take every part straight from where it is to where it is to be.

Most of the best sequences are such, and a model that knows no other places is a small one. What it
finds is best of all if its touches are the fewest that there can be.
"""

from __future__ import annotations

from collections.abc import Mapping

from slotfit.model.seat import Seat
from slotfit.model.windows import Task
from slotfit.solve.layer import Layer


def least_touches(task: Task) -> Mapping[str, int]:
    """
    For each body the touches without which no sequence does; none for those left out.

    A part that has another place at the goal, or has to leave, is touched; twice if it goes from
    board to board where only one machine may be off at once.
    """
    least: dict[str, int] = {}
    for item, goal in task.goal.places.items():
        if task.today.places.get(item) != goal:
            raise_to(task, least, item, 2 if goes_over(task, item) else 1)
    for item, seat in task.today.seat_of.items():
        if item not in task.goal.places and must_leave(task, seat):
            raise_to(task, least, item, 1)
    return least


def raise_to(task: Task, least: dict[str, int], item: str, touches: int) -> None:
    """A body is touched as often as the most touched of its plugs."""
    body = task.problem.item[item].body
    least[body] = max(least.get(body, 0), touches)


def goes_over(task: Task, item: str) -> bool:
    """From one machine's board to another's, which cannot both be off."""
    here, there = task.today.seat_of.get(item), task.goal.seat_of[item]
    if task.at_once > 1 or here is None or here.offer.machine == there.offer.machine:
        return False
    return not here.offer.depth and not there.offer.depth


def must_leave(task: Task, seat: Seat) -> bool:
    """A part without a place at the goal leaves a board that stays, or a part that does."""
    site = task.problem.site[seat.site]
    return site.owner not in task.retired if site.on_board else site.owner in task.goal.places


def elsewhere(layer: Layer) -> dict[int, int]:
    """
    The places that no sequence with the fewest touches uses, as variables that are 0.

    Touched once, a part goes straight to its goal. Touched twice, it lies beside the machines in
    between, or in a socket of a part that does. One that leaves may go anywhere.
    """
    task = layer.task
    least = least_touches(task)
    gone: dict[int, int] = {}
    for item, sites in layer.at.items():
        touches = least.get(task.problem.item[item].body, 0)
        if touches and item not in task.goal.places:
            continue
        ends = (task.today.places.get(item), task.goal.places.get(item))
        for site, variables in sites.items():
            socket = (item, site) in layer.rests
            if site not in ends and not (socket and touches > 1):
                gone |= dict.fromkeys(variables, 0)
    return gone
