"""Why the plan does not put a part somewhere: plan once as wished, and once with the part there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from slotfit.api import Progress, place
from slotfit.check.price import Case, Why, case_of, left_over, refused, stands_against
from slotfit.model.problem import Item, Problem
from slotfit.model.status import Status

if TYPE_CHECKING:
    from slotfit.model.placed import Placed


@dataclass(frozen=True)
class Asked:
    """A part of a build and a receptacle of it, with the means to plan."""

    problem: Problem
    item: str
    site: str
    plan: Callable[[Problem], Placed]


def why(
    problem: Problem,
    item: str,
    site: str,
    seconds: float = 60.0,
    progress: Progress | None = None,
) -> Why:
    """What forbids an item in a site, or what it costs; each plan has `seconds` to be found."""
    asked = Asked(problem, item, site, lambda one: place(one, seconds, progress))
    placed = asked.plan(problem)
    plan = placed.answer.plan
    if plan and any((seat.item, seat.site) == (item, site) for seat in plan.seats):
        return Why(problem, item, site, Case.THERE, plan)
    wished = refused(placed.seating, item, site)
    if wished:
        return Why(problem, item, site, Case.FORBIDDEN, plan, reasons=wished)
    if plan is None:
        return Why(problem, item, site, without_plan(placed))
    return with_it_there(asked, placed)


def without_plan(placed: Placed) -> Case:
    """Whether there is none, or none was found in time."""
    return Case.OUT_OF_TIME if placed.answer.status is Status.UNKNOWN else Case.NO_PLAN


def with_it_there(asked: Asked, placed: Placed) -> Why:
    """The best plan with the part in the site against the best of all."""
    problem, plan = asked.problem, placed.answer.plan
    forced = asked.plan(pinned(problem, asked.item, asked.site)).answer
    if plan and forced.plan:
        case = case_of(plan, forced.plan)
        return Why(problem, asked.item, asked.site, case, plan, forced.plan)
    if forced.status is Status.UNKNOWN:
        return Why(problem, asked.item, asked.site, Case.OUT_OF_TIME, plan)
    eased = asked.plan(pinned(problem, asked.item, asked.site, others_must=False))
    rest = eased.answer.plan
    if plan is None or rest is None:
        reasons = stands_against(eased, asked.item, asked.site)
        return Why(problem, asked.item, asked.site, Case.FORBIDDEN, plan, reasons=reasons)
    left = tuple(left_over(eased, rest, plan))
    return Why(problem, asked.item, asked.site, Case.CROWDS_OUT, plan, rest, left=left)


def pinned(problem: Problem, item: str, site: str, *, others_must: bool = True) -> Problem:
    """The same problem with the item in the site and, if so asked, no other part required."""
    items = tuple(
        pin(one, site) if one.id == item else one if others_must else eased(one)
        for one in problem.items
    )
    return replace(problem, items=items)


def pin(item: Item, site: str) -> Item:
    """It goes there and nowhere else."""
    return item._replace(wish=item.wish.model_copy(update={"pin": site, "required": True}))


def eased(item: Item) -> Item:
    """It need not be placed; as many as possible should."""
    return item._replace(wish=item.wish.model_copy(update={"required": False, "weight": 1}))
