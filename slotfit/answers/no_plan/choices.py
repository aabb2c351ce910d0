"""What else there is beside the best plan: as good ones, and the best if something is otherwise."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from slotfit.answers.no_plan.answer import (
    SCHEMA_VERSION,
    ChoicesAnswer,
    EqualPlans,
    Goes,
    OtherPlan,
    PartMoved,
    PlanElsewhere,
    PlanIfFalse,
    Way,
)
from slotfit.answers.no_plan.case import first_alike
from slotfit.answers.no_plan.changed import with_wish
from slotfit.answers.no_plan.explain import plan_in_short
from slotfit.answers.place.answer import UnprovenFact
from slotfit.answers.place.of_plan import unproven_facts
from slotfit.answers.place.plan import best_plan as place
from slotfit.answers.why.answer import StageChange
from slotfit.listing import natural
from slotfit.model.plan import Placed
from slotfit.model.reason import Doubt
from slotfit.model.seat import Seat, Seating
from slotfit.solve.alternatives import equal_layouts, kinds_of
from slotfit.solve.engine import Clock


def choices(
    placed: Placed, also: int, parts: Sequence[str], seconds: float, *, facts: bool
) -> ChoicesAnswer:
    """
    All that was asked for, or what is worked out of it when Ctrl-C comes.

    `also`: so many other plans as good; `parts`: each somewhere else; `facts`: each of them false.
    """
    clock = Clock(seconds)
    told = ChoicesAnswer(SCHEMA_VERSION, None, (), () if facts else None, stopped=False)
    try:
        if also:
            # The plan itself counts as one.
            told = replace(told, equal_plans=equally_good(placed, also + 1, clock.left))
        for part in parts:
            other = elsewhere(placed, part, clock.left)
            one = PlanElsewhere(part, other_plan(placed, other) if other else None)
            told = replace(told, elsewhere=(*told.elsewhere, one))
        known = facts_by_id(placed)
        for fact, other in if_false(placed, clock.left) if facts else ():
            false = PlanIfFalse(known[fact.id], other_plan(placed, other))
            told = replace(told, if_false=(*(told.if_false or ()), false))
    except KeyboardInterrupt:
        told = replace(told, stopped=True)
    return told


def facts_by_id(placed: Placed) -> dict[tuple[str, ...], UnprovenFact]:
    """What the plan rests on, as it is told."""
    plan = placed.plan
    return (
        {one.id: told for one, told in zip(plan.facts, unproven_facts(plan), strict=True)}
        if plan
        else {}
    )


def other_plan(placed: Placed, other: Placed) -> OtherPlan:
    """Another plan, held against the best one; the words of a price name the links that lose."""
    was = {one.value.stage: one for one in plan_in_short(placed).prices}
    changes: list[StageChange] = []
    for now in plan_in_short(other).prices:
        before = was[now.value.stage]
        if now.value.value != before.value.value:
            changes.append(StageChange(now.value.stage, before, now, decides=not changes))
    return OtherPlan(other.status.value, tuple(changes), moved(placed, other))


def moved(placed: Placed, other: Placed) -> tuple[PartMoved, ...]:
    """Parts that go elsewhere in the other plan; none if there is no such plan."""
    if placed.plan is None or other.plan is None:
        return ()
    was = {seat.part: seat.receptacle for seat in placed.plan.seats}
    now = {seat.part: seat.receptacle for seat in other.plan.seats}
    return tuple(
        PartMoved(part, was.get(part, ""), now.get(part, ""))
        for part in sorted(was.keys() | now.keys(), key=natural)
        if was.get(part) != now.get(part)
    )


def equally_good(placed: Placed, at_most: int, seconds: float = 60.0) -> EqualPlans | None:
    """
    What up to `at_most` plans as good as the one found have in common, itself among them.

    None without a plan.
    """
    plan = placed.plan
    if plan is None:
        return None
    clock = Clock(seconds)
    layouts = equal_layouts(placed.problem, placed.seating, placed.clauses, plan, at_most, clock)
    kind_of = kinds_of(placed.problem, placed.seating)
    told = []
    for kind in sorted(set(kind_of.values()), key=natural):
        counted = Counter(
            tuple(sorted((place for part, place in layout if part == kind), key=natural))
            for layout in layouts.found
        )
        ranked = sorted(counted.items(), key=lambda one: (-one[1], [natural(p) for p in one[0]]))
        members = sorted((part for part, one in kind_of.items() if one == kind), key=natural)
        told.append(Goes(tuple(members), tuple(Way(places, plans) for places, plans in ranked)))
    return EqualPlans(
        count=len(layouts.found),
        complete=layouts.complete,
        same=tuple(one for one in told if len(one.ways) == 1 and one.ways[0].places),
        differs=tuple(one for one in told if len(one.ways) > 1),
    )


def elsewhere(placed: Placed, part: str, seconds: float = 60.0) -> Placed | None:
    """
    The best plan in which a part is not where it is now; None if it is nowhere now.

    Of parts that are alike none goes there: another one in its stead would be the same plan.
    """
    plan = placed.plan
    seat = next((seat for seat in plan.seats if seat.part == part), None) if plan else None
    if seat is None:
        return None
    first = first_alike(placed.problem)
    problem = placed.problem
    for other, one in first.items():
        if one == first[part]:
            ban = problem.part[other].wish.ban
            problem = with_wish(problem, other, ban=(*ban, seat.receptacle))
    return place(problem, seconds)


def if_false(placed: Placed, seconds: float = 60.0) -> Iterator[tuple[Doubt, Placed]]:
    """Each fact the plan rests on, with the best plan without it; `seconds` for all of them."""
    clock = Clock(seconds)
    facts = placed.plan.facts if placed.plan else ()
    for fact in sorted(facts, key=lambda one: natural(one.label)):
        yield fact, place(placed.problem, clock.left, seating=without_fact(placed, fact))


def without_fact(placed: Placed, fact: Doubt) -> Seating:
    """
    The seats that do not rest on the fact, nor on the same fact about a part that is alike.

    Parts alike stay alike: what is false of one is false of the other. Where another part could
    settle the fact (an air mover), these seats are left out all the same.
    """
    first = first_alike(placed.problem)
    false = meant(fact, first)
    kept: dict[str, Seat] = {}
    for seat in placed.seating.seats:  # a part's seats come before those of what sits on it
        parents = tuple(key for key in seat.parents if key in kept)
        rests = any(meant(other, first) == false for other in seat.facts)
        if not rests and (parents or not seat.parents):
            kept[seat.key] = replace(seat, parents=parents)
    return replace(placed.seating, seats=tuple(kept.values()))


def meant(fact: Doubt, first: dict[str, str]) -> tuple[str, ...]:
    """What it asks of what, each part called as the first of those that are alike."""
    return tuple(first.get(word, word) for word in fact.id)
