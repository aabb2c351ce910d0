"""
Unknown is neither yes nor no, whatever the fact and whatever the rule.

A fact is forgotten. What slotfit then says without a doubt has to hold for every value that the
fact could have had: a no stays a no, and a plan that rests on nothing works, as well as was said.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import product
from random import Random

import pytest

from slotfit.answers.place.plan import best_plan, state_all
from slotfit.engine.referee import stage_values
from slotfit.model.clause import Clause, arrangement, holds
from slotfit.model.keys import GroupKey
from slotfit.model.plan import Plan, Status
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat, Seating
from slotfit.model.words import Stage
from tests.builds import THEMES, small_build
from tests.limits import SECONDS, mostly_long
from tests.rules.forgotten import Forgotten, facts_of

SURE_FIRST: tuple[Stage, ...] = (
    "unproven-facts",
    "optional-parts",
    "dark-endpoints",
    "bandwidth",
    "locality",
)


def receptacles(seating: Seating) -> set[tuple[str, str]]:
    """Where each part can be."""
    return {(seat.part, seat.receptacle) for seat in seating.seats}


def no_is_no(fact: Forgotten) -> list[str]:
    """Places denied though some value of the fact would allow them."""
    allowed = receptacles(state_all(fact.unknown)[0])
    return [
        f"{fact.name}: {part} in {receptacle} is denied, and possible with value {number}"
        for number, problem in enumerate(fact.possible)
        for part, receptacle in sorted(receptacles(state_all(problem)[0]) - allowed)
    ]


def way_of(seat: Seat, ways: Mapping[GroupKey, str]) -> str | None:
    """Id of the arrangement of the lane group below a seat."""
    return ways.get(seat.upstream.group) if seat.upstream.group else None


def found_again(
    seating: Seating, places: Mapping[str, str], ways: Mapping[GroupKey, str]
) -> tuple[Seat, ...] | None:
    """The seats of the same plan in another build; None if one of them is gone."""
    seats: dict[str, Seat] = {}
    waiting = list(places)
    while waiting:
        ready = [one for one in waiting if places[one].partition("/")[0] not in waiting]
        part = (ready or waiting)[0]
        waiting.remove(part)
        keys = {seat.key for seat in seats.values()}
        fits = [
            seat
            for seat in seating.by_part.get(part, [])
            if seat.receptacle == places[part]
            and (not seat.arrangements or way_of(seat, ways) in seat.arrangements)
            and (not seat.parents or keys & set(seat.parents))
        ]
        if not fits:
            return None
        seats[part] = fits[0]
    return tuple(seats.values())


def faults_of(fact: Forgotten, plan: Plan) -> Iterable[str]:
    """Values of the fact for which a plan that rests on nothing does not do what it said."""
    for number, problem in enumerate(fact.possible):
        stated = state_all(problem)
        every = [
            [*faults_with(problem, stated, replace(plan, arrangements=ways))]
            for ways in readings(problem, plan.arrangements)
        ]
        if all(every):
            yield from (f"{fact.name}: value {number} {fault}" for fault in every[0])


def readings(problem: Problem, ways: Mapping[GroupKey, str]) -> Iterator[dict[GroupKey, str]]:
    """The divisions as they are in a build; for one that is not there by that id, each that is."""
    choices = [
        [ways[key]] if ways[key] in ids else ids
        for key in ways
        if (ids := [str(way.id) for way in problem.lane_groups[key].arrangements])
    ]
    return (dict(zip(ways, some, strict=True)) for some in product(*choices))


def faults_with(
    problem: Problem, stated: tuple[Seating, Sequence[Clause]], plan: Plan
) -> Iterator[str]:
    """What a plan does not do in a build, its lanes being divided so."""
    seating, clauses = stated
    places = {seat.part: seat.receptacle for seat in plan.seats}
    promised = {stage.stage: stage.value for stage in plan.stages}
    seats = found_again(seating, places, plan.arrangements)
    if seats is None:
        gone = [
            objection.text
            for refusal in seating.refusals
            if places.get(refusal.seat.part) == refusal.seat.receptacle
            for objection in refusal.objections
        ]
        yield f"denies a seat of {places}: {gone}"
        return
    atoms = {arrangement(group, way) for group, way in plan.arrangements.items()}
    atoms |= {seat.key for seat in seats}
    broken = [
        one.reason.text for one in clauses if one.reason.rule != "LANE014" and not holds(one, atoms)
    ]
    if broken:
        yield f"breaks {broken} of {places}"
        return
    truth = stage_values(problem, replace(plan, seats=seats))
    for stage in ("dark-endpoints", "bandwidth", "locality"):
        if truth[stage] > promised[stage]:
            yield f"has {truth[stage]} of {stage}, not {promised}"


def yes_is_yes(fact: Forgotten) -> list[str]:
    """What a plan without a doubt promised and some value of the fact does not keep."""
    answer = best_plan(replace(fact.unknown, preferences=SURE_FIRST), SECONDS)
    if answer.status is Status.IMPOSSIBLE or answer.plan is None or answer.plan.facts:
        return []
    if not answer.plan.seats:
        return []  # a plan of nothing promises nothing
    return list(faults_of(fact, answer.plan))


def several(facts: list[Forgotten], dice: Random) -> Forgotten:
    """Several facts forgotten at once, with some of what they could be together."""
    unknown, possible = facts[0].unknown, facts[0].possible
    for fact in facts[1:]:
        if again := named(unknown, fact.name):
            unknown = again.unknown
            possible = tuple(one_of(named(one, fact.name), one, dice) for one in possible)
    return Forgotten(" and ".join(fact.name for fact in facts), unknown, possible)


def named(problem: Problem, name: str) -> Forgotten | None:
    """The fact of that name, where it still matters."""
    return next((fact for fact in facts_of(problem) if fact.name == name), None)


def one_of(fact: Forgotten | None, otherwise: Problem, dice: Random) -> Problem:
    """The build with one of the values."""
    return dice.choice(fact.possible) if fact else otherwise


def some_facts(problem: Problem, dice: Random, count: int) -> list[Forgotten]:
    """A few of the facts that could be forgotten, alone or two and three together."""
    every = list(facts_of(problem))
    picked = [dice.sample(every, min(dice.choice((1, 1, 2, 3)), len(every))) for _ in range(count)]
    return [several(facts, dice) for facts in picked]


@pytest.mark.parametrize("number", [0, *(pytest.param(n, marks=pytest.mark.long) for n in (1, 2))])
@pytest.mark.parametrize("theme", mostly_long(THEMES, 3))
def test_what_is_not_known_is_neither_yes_nor_no(theme: str, number: int) -> None:
    dice = Random(f"forgotten {theme} {number}")
    for fact in some_facts(small_build(dice, theme), dice, 8):
        assert no_is_no(fact) == []
        assert yes_is_yes(fact) == []


@pytest.mark.parametrize("number", mostly_long(range(60), 12))
def test_which_processor_is_fitted_is_neither_yes_nor_no(number: int) -> None:
    dice = Random(f"processor not known {number}")
    problem = small_build(dice, "fitted")
    for fact in facts_of(problem):
        if fact.name.endswith((".processors", ".firmware")):
            assert no_is_no(fact) == []
            assert yes_is_yes(fact) == []
