"""The best plan there is, and if not everything required fits, the best plan of the most of it."""

from __future__ import annotations

import time
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from slotfit import api
from slotfit.choose.matching import all_seated
from slotfit.choose.obstacle import CARRIER, PLUGS, Obstacle, obstacles, refusal
from slotfit.listing import listed
from slotfit.model.clause import AtMost, Ground
from slotfit.model.placed import Placed
from slotfit.model.plan import Answer
from slotfit.model.problem import Item, Problem
from slotfit.model.seat import Seat, Seating
from slotfit.model.status import Status


@dataclass(frozen=True)
class Missing:
    """A required part without a seat, and what stands in its way."""

    item: str
    why: Obstacle


@dataclass(frozen=True)
class Most:
    """As much of a build as fits."""

    placed: Placed
    """Of what has a seat anywhere; what the plan leaves out of it is optional there."""
    missing: tuple[Missing, ...]
    seconds: float

    @property
    def status(self) -> Status:
        """Of the plan; of a build that does not fit whole, for as much as fits."""
        return self.placed.answer.status


def place_most(problem: Problem, seconds: float) -> Most:
    """
    The best plan; if not all required parts fit, as few of them left out as can be.

    Of the plans that leave out as few, it is the best one that leaves out the same parts as the
    best one that counts optional parts next, wherever the build puts them.
    """
    began = time.monotonic()
    seating = api.seats(problem)
    gone = hopeless(problem, seating)
    why = dict(gone)
    rest, seating = without(problem, gone), without_seats(seating, gone)
    placed = whole(rest, seating, left(seconds, began))
    if placed.answer.status is Status.IMPOSSIBLE:
        crowded = fewest_left_out(rest, seating, left(seconds, began))
        plan = crowded.answer.plan
        if plan:
            out = [name for name in plan.left_out if rest.item[name].wish.required]
            why |= obstacles(crowded, plan, out)
            placed = best_without(rest, seating, out, crowded, left(seconds, began))
    return Most(placed, tuple(missing_parts(problem, why)), time.monotonic() - began)


def missing_parts(problem: Problem, why: Mapping[str, Obstacle]) -> Iterator[Missing]:
    """A part and its plugs are one; that a plug has no seat says less than why it has none."""
    for item in problem.items:
        if item.id in why and item.companion_of is None:
            told = [why[name] for name in plugs_of(problem, item) if name in why]
            yield Missing(item.id, next((one for one in told if one.rule != PLUGS), told[0]))


def whole(problem: Problem, seating: Seating, seconds: float) -> Placed:
    """The best plan with everything required; where it takes no solver to see it, that none is."""
    sites = {
        item.id: list(dict.fromkeys(seat.site for seat in seating.by_item.get(item.id, [])))
        for item in problem.items
        if item.wish.required
    }
    if all_seated(sites):
        return api.place(problem, seconds, seating=seating)
    return Placed(problem, seating, (), Answer(Status.IMPOSSIBLE, None, 0.0))


def fewest_left_out(problem: Problem, seating: Seating, seconds: float) -> Placed:
    """
    A best plan that leaves out as few required parts as can be.

    Where leaving out others would be as good, it is the solver's choice which go: the same each
    time with the same solver. Telling them apart by name would take as long again.
    """
    from slotfit.solve.place import place  # noqa: PLC0415 - loads OR-Tools

    loose = all_optional(problem)
    seating, clauses = api.state_all(loose, unless_in_order(seating))
    answer = place(loose, seating, clauses, seconds, any_of_the_best=True)
    return Placed(loose, seating, clauses, answer)


def best_without(
    problem: Problem, seating: Seating, out: Collection[str], crowded: Placed, seconds: float
) -> Placed:
    """
    The best plan without some parts, proven as far as it was proven that it must be so many.

    They stay in the build, so that whatever they could sit on is used as before.
    """
    from slotfit.solve.place import place  # noqa: PLC0415 - loads OR-Tools

    asked = optional(problem, out, 0)
    seating, stated = api.state_all(asked, unless_in_order(seating))
    never = tuple((seat.key, 1) for name in out for seat in seating.by_item.get(name, []))
    clauses = (*stated, AtMost(Ground("WISH007", "they are left out"), never, 0, "parts"))
    answer = place(asked, seating, clauses, seconds)
    if answer.plan and crowded.answer.status is not Status.PROVEN:
        answer = answer._replace(status=Status.UNPROVEN)
    return api.refereed(Placed(asked, seating, clauses, answer))


def unless_in_order(seating: Seating) -> Seating | None:
    """The seats, if they are for any wishes: one in order is for its own alone."""
    return None if seating.in_order else seating


def left(seconds: float, began: float) -> float:
    """What is left of the time, never quite nothing."""
    return max(seconds - (time.monotonic() - began), 0.01)


def hopeless(problem: Problem, seating: Seating) -> dict[str, Obstacle]:
    """
    Required parts without a seat whatever else is done, and why.

    With one plug of a part the whole part goes, and with a part what could sit on it alone.
    """
    gone: dict[str, Obstacle] = {}
    left_over = seating
    while True:
        found = [
            item
            for item in problem.items
            if item.wish.required and item.id not in gone and not left_over.every(item.id)
        ]
        if not found:
            return gone
        for item in found:
            gone[item.id] = why_hopeless(problem, seating, item)
        for item in found:
            for other in plugs_of(problem, item):
                gone.setdefault(other, Obstacle(PLUGS, "", f"{item.id}, a plug of it, has no seat"))
        left_over = without_seats(seating, gone)


def why_hopeless(problem: Problem, seating: Seating, item: Item) -> Obstacle:
    """What refuses the part, or that all that would take it has no seat itself."""
    seats = seating.every(item.id)
    if not seats:
        return refusal(problem, seating, item.id)
    owners = {problem.site[seat.site].owner for seat in seats}
    return Obstacle(CARRIER, "", f"what it could sit on has no seat: {listed(owners)}")


def plugs_of(problem: Problem, item: Item) -> Iterator[str]:
    """The part that an item is a plug of, and all its plugs."""
    first = item.body
    return (one.id for one in problem.items if first in (one.id, one.companion_of))


def without_seats(seating: Seating, gone: Collection[str]) -> Seating:
    """The seating as if these parts were not in the build."""

    def stays(seat: Seat) -> bool:
        return seat.item not in gone and not any(name in gone for name in seat.offer.carriers)

    return Seating(
        tuple(seat for seat in seating.seats if stays(seat)),
        tuple(one for one in seating.refusals if stays(one.seat)),
        tuple(kind for kind in seating.in_order if kind.items[0] not in gone),
    )


def without(problem: Problem, gone: Collection[str]) -> Problem:
    """The build as if these parts were not in it."""
    return replace(
        problem,
        items=tuple(item for item in problem.items if item.id not in gone),
        sites=tuple(site for site in problem.sites if site.on_board or site.owner not in gone),
    )


def heaviest(problem: Problem) -> int:
    """More than all optional parts together weigh."""
    return 1 + sum(item.wish.weight for item in problem.items if not item.wish.required)


def all_optional(problem: Problem) -> Problem:
    """The same build where every part may be left out, required ones last of all."""
    required = [item.id for item in problem.items if item.wish.required]
    rest = tuple(s for s in problem.preferences if s not in ("optional-parts", "reserve"))
    loose = optional(problem, required, heaviest(problem))
    return replace(loose, preferences=("optional-parts", *rest))


def optional(problem: Problem, names: Collection[str], weight: int) -> Problem:
    """The same build where these parts may be left out."""

    def may_go(item: Item) -> Item:
        update = {"required": False, "weight": weight}
        return item._replace(wish=item.wish.model_copy(update=update))

    items = tuple(may_go(item) if item.id in names else item for item in problem.items)
    return replace(problem, items=items)
