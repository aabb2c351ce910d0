"""The best plan there is, and if not everything required fits, the best plan of the most of it."""

from __future__ import annotations

import time
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

from slotfit import api
from slotfit.choose.obstacle import Obstacle, obstacle, refusal
from slotfit.model.placed import Placed
from slotfit.model.plan import Plan, StageValue, Status
from slotfit.model.problem import Item, Problem


@dataclass(frozen=True)
class Missing:
    """A required part without a seat, and what stands in its way."""

    item: str
    why: Obstacle


@dataclass(frozen=True)
class Most:
    """As much of a build as fits."""

    placed: Placed
    """Of what is in it; parts that no receptacle takes are not."""
    missing: tuple[Missing, ...]
    stages: tuple[StageValue, ...]
    """The build's preferences in its own order, for what is placed."""
    seconds: float

    @property
    def status(self) -> Status:
        """Of the plan; of a build that does not fit whole, for as much as fits."""
        return self.placed.answer.status


def place_most(problem: Problem, seconds: float) -> Most:
    """
    The best plan; if not all required parts fit, as few of them left out as can be.

    Then optional parts are the next to count, wherever the build puts them.
    """
    began = time.monotonic()
    whole = api.place(problem, seconds)
    if whole.answer.status is not Status.IMPOSSIBLE:
        return most(whole, (), began)
    without_seat = tuple(dict.fromkeys(seatless(whole)))
    gone = tuple(Missing(name, refusal(whole, name)) for name in without_seat)
    rest = without(problem, without_seat)
    placed = whole
    if gone:
        placed = api.place(rest, left(seconds, began))
        if placed.answer.status is not Status.IMPOSSIBLE:
            return most(placed, gone, began)
    placed = api.place(all_optional(rest), left(seconds, began))
    plan = placed.answer.plan
    out = competing(rest, plan) if plan else ()
    crowded = tuple(Missing(name, obstacle(placed, plan, name)) for name in out if plan)
    found = most(placed, (*gone, *crowded), began)
    return replace(found, stages=as_asked(rest, found.stages, len(crowded)))


def left(seconds: float, began: float) -> float:
    """What is left of the time, never quite nothing."""
    return max(seconds - (time.monotonic() - began), 0.01)


def most(placed: Placed, missing: tuple[Missing, ...], began: float) -> Most:
    """The answer for what is in it."""
    plan = placed.answer.plan
    return Most(placed, missing, plan.stages if plan else (), time.monotonic() - began)


def seatless(placed: Placed) -> Iterator[str]:
    """Required parts that no receptacle takes, each with its further plugs."""
    for item in placed.problem.items:
        if item.wish.required and not placed.seating.by_item.get(item.id):
            first = item.companion_of or item.id
            yield from (
                one.id for one in placed.problem.items if first in (one.id, one.companion_of)
            )


def without(problem: Problem, gone: Collection[str]) -> Problem:
    """The build as if these parts were not in it."""
    return replace(
        problem,
        items=tuple(item for item in problem.items if item.id not in gone),
        sites=tuple(site for site in problem.sites if site.on_board or site.owner not in gone),
    )


def competing(problem: Problem, plan: Plan) -> tuple[str, ...]:
    """Required parts that the plan leaves out."""
    return tuple(name for name in plan.left_out if problem.item[name].wish.required)


def heaviest(problem: Problem) -> int:
    """More than all optional parts together weigh."""
    return 1 + sum(item.wish.weight for item in problem.items if not item.wish.required)


def all_optional(problem: Problem) -> Problem:
    """The same build where every part may be left out: required ones last of all."""
    weight = heaviest(problem)

    def may_go(item: Item) -> Item:
        update = {"required": False, "weight": weight}
        return replace(item, wish=item.wish.model_copy(update=update))

    rest = tuple(stage for stage in problem.preferences if stage != "optional-parts")
    return replace(
        problem,
        items=tuple(may_go(item) if item.wish.required else item for item in problem.items),
        preferences=("optional-parts", *rest),
    )


def as_asked(
    problem: Problem, stages: tuple[StageValue, ...], missing: int
) -> tuple[StageValue, ...]:
    """The stages in the build's order, required parts taken out of the optional ones' weight."""
    heavy = heaviest(problem) * missing
    by_name = {
        one.stage: replace(one, value=one.value - heavy, bound=max(one.bound - heavy, 0))
        if one.stage == "optional-parts"
        else one
        for one in stages
    }
    return tuple(by_name[stage] for stage in problem.preferences if stage in by_name)
