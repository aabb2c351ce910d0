"""A build that does not fit, with as few of many parts alike as still do not: it clashes alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from slotfit.explain.amend import without
from slotfit.model.placed import Placed
from slotfit.model.problem import Problem
from slotfit.model.status import Status
from slotfit.seating.alike import kinds
from slotfit.solve.clock import Clock

MANY = 12
"""More parts alike than these are tried in smaller numbers first."""

Placer = Callable[[Problem, float], Placed]
"""Places a problem within so many seconds."""


def with_fewest(problem: Problem, place: Placer, clock: Clock) -> Problem:
    """
    Without as many of the last of many parts alike as leaves it without a plan.

    Only of parts that carry nothing: leaving out what others sit on could be why there is no plan.
    """
    for members in kinds(problem):
        one = problem.item[members[0]]
        if len(members) > MANY and one.wish.required and not one.part.receptacles:
            problem = fewest(problem, members, place, clock)
    return problem


def surplus(problem: Problem, few: Problem) -> dict[str, int]:
    """First of parts alike -> how many of them must go at least, where some were left out."""
    kept = few.item.keys()
    return {
        members[0]: sum(name not in kept for name in members) + 1
        for members in kinds(problem)
        if not kept >= set(members)
    }


def fewest(problem: Problem, members: tuple[str, ...], place: Placer, clock: Clock) -> Problem:
    """The first so many of the members, found by halving."""
    too_few, enough = 0, len(members)
    while enough - too_few > 1 and clock.left:
        tried = (too_few + enough) // 2
        asked = replace(without(problem, members[tried:]), preferences=())
        if place(asked, clock.left).answer.status is Status.IMPOSSIBLE:
            enough = tried
        else:
            too_few = tried
    return without(problem, members[enough:])
