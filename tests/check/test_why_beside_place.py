"""
What `why` says of the other place is what `place` finds with the part pinned there.

Random builds, packed: required parts that do not fit beside the others are made optional, so that
there is a plan and hardly room for more; preferences are any, in any order.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, replace
from random import Random

import pytest

from slotfit.answers.names import short_name, trained_text
from slotfit.answers.place.answer import PlaceAnswer, PlannedSeat
from slotfit.answers.place.left_out import place_most
from slotfit.answers.place.of_plan import place
from slotfit.answers.place.plan import best_plan, seats
from slotfit.answers.why.answer import PartChange, WhyAnswer
from slotfit.answers.why.text import why_text
from slotfit.answers.why.why import why
from slotfit.model.build import DEFAULT_STAGES
from slotfit.model.plan import Placed
from slotfit.model.problem import Part, Problem
from tests.builds import THEMES, Table, build
from tests.limits import SECONDS, mostly_long


@dataclass(frozen=True)
class Question:
    """A part of a build, and a receptacle."""

    problem: Problem
    part: str
    receptacle: str


def question(number: int) -> Question:
    """A build that has a plan, and mostly a receptacle that the part has a seat in."""
    dice = Random(f"why beside place {number}")
    problem = packed(dice)
    part = dice.choice(problem.parts)
    homes = {seat.receptacle for seat in seats(problem).by_part.get(part.id, [])}
    every = [one.id for one in problem.receptacles]
    home = dice.choice(sorted(homes) if homes and dice.random() < 0.9 else every)
    return Question(problem, part.id, home)


def packed(dice: Random) -> Problem:
    """A build with a plan, as full as it goes; any preferences."""
    theme = dice.choice(THEMES)
    table = Table(dice, theme, dice.randint(2, 4), dice.randint(2, 5))
    problem = build(table, 2 if theme == "machines" else 1)
    stages = dice.sample(DEFAULT_STAGES, dice.randint(0, len(DEFAULT_STAGES)))
    plan = place_most(problem, SECONDS).placed.plan
    seated = {seat.part for seat in plan.seats} if plan else set()
    spare = {part.body for part in problem.parts if part.id not in seated}
    spare |= {part.body for part in problem.parts if dice.random() < 0.1}
    weights = {part: dice.choice((0, 1, 2, 9)) for part in sorted(spare)}
    parts = tuple(
        wishing(one, required=False, weight=weights[one.body]) if one.body in spare else one
        for one in problem.parts
    )
    return replace(problem, parts=parts, preferences=tuple(stages))


def wishing(part: Part, **wishes: object) -> Part:
    """The part with other wishes."""
    return replace(part, wish=part.wish.model_copy(update=wishes))


def with_it_there(asked: Question, eased: Collection[str] = ()) -> Problem:
    """
    The build with the part placed there, as optional as before in all else.

    `eased`: names of other parts that are optional.
    """
    parts = []
    for one in asked.problem.parts:
        if one.id == asked.part:
            parts.append(replace(wishing(one, pin=asked.receptacle), asked_of=True))
        else:
            parts.append(wishing(one, required=False) if one.body in eased else one)
    return replace(asked.problem, parts=tuple(parts))


def has_a_plan(problem: Problem) -> bool:
    """Whether there is any."""
    return best_plan(replace(problem, preferences=()), SECONDS).plan is not None


def held(asked: Question) -> str:
    """How it comes out, held against `place`."""
    answer = why(asked.problem, asked.part, asked.receptacle, SECONDS)
    assert why_text(answer)
    now = best_plan(asked.problem, SECONDS)
    assert now.plan, "every build drawn has a plan"
    there = {(seat.part, seat.receptacle) for seat in now.plan.seats}
    match answer.verdict.status:
        case "there":
            assert (asked.part, asked.receptacle) in there
        case "forbidden":
            cannot_be(asked, answer)
        case "crowds-out":
            crowds(asked, answer, now)
        case "costs" | "as-good":
            costs(answer, now, best_plan(with_it_there(asked), SECONDS))
        case other:
            pytest.fail(f"{other} of a build that has a plan")
    return answer.verdict.status


def cannot_be(asked: Question, answer: WhyAnswer) -> None:
    """There is a reason, and it is not there even with nothing else required; or not wished for."""
    assert answer.more.reasons
    assert all(reason.rule and reason.text for reason in answer.more.reasons)
    own = asked.problem.part[asked.part]
    allowed = (own.wish.pin,) if own.wish.pin else own.wish.only
    if not allowed or asked.receptacle in allowed:
        others = {part.body for part in asked.problem.parts} - {own.body}
        assert not has_a_plan(with_it_there(asked, others))


def costs(answer: WhyAnswer, now: Placed, forced: Placed) -> None:
    """Every preference as said, the first that differs is worse, and each part as it is shown."""
    assert now.plan
    assert forced.plan
    pairs = list(zip(now.plan.stages, forced.plan.stages, strict=True))
    assert [(one.before.value, one.after.value) for one in answer.more.stages] == pairs
    differs = [one.stage for one, other in pairs if one.value != other.value][:1]
    assert [one.stage for one in answer.more.stages if one.decides] == differs
    assert all(one.value < other.value for one, other in pairs if one.stage in differs)
    assert (answer.verdict.status == "costs") == bool(differs)
    before, after = (
        place(now.problem, SECONDS, found=now),
        place(forced.problem, SECONDS, found=forced),
    )
    expected = changed(now.problem, before, after)
    assert {row_of(change) for change in answer.plan.parts} == expected
    new = [one for one in after.watch.rests_on if one.fact not in known_in(before)]
    assert [one.fact for one in answer.plan.rests_on] == [one.fact for one in new]
    named = {one.lane_group: (one.before, one.after) for one in answer.plan.settings}
    was, becomes = ways(before), ways(after)
    assert all(text == (was.get(one, text[0]), becomes[one]) for one, text in named.items())


def known_in(answer: PlaceAnswer) -> set[str]:
    """What the plan rests on, as `place` says."""
    return {one.fact for one in answer.watch.rests_on}


def ways(answer: PlaceAnswer) -> dict[str, str]:
    """Lane group -> what it is set to, as `place` says."""
    return {f"{one.machine}/{one.lane_group}": one.division.text for one in answer.do.settings}


Shown = tuple[str | None, str]
"""Where, and how it trains."""


def changed(
    problem: Problem, before: PlaceAnswer, after: PlaceAnswer
) -> set[tuple[str, Shown, Shown]]:
    """Parts that `place` shows elsewhere, or on other links."""
    old = {seat.item: seat for seat in before.plan.seats}
    new = {seat.item: seat for seat in after.plan.seats}

    def shown(seat: PlannedSeat | None) -> Shown:
        if seat is None:
            return None, "no place"
        return short_name(problem.receptacle[seat.site]), trained_text(seat)

    def differs(one: PlannedSeat | None, other: PlannedSeat | None) -> bool:
        if one is None or other is None:
            return one is not other
        return (one.site, one.links) != (other.site, other.links)

    return {
        (name, shown(old.get(name)), shown(new.get(name)))
        for name in problem.part
        if differs(old.get(name), new.get(name))
    }


def row_of(change: PartChange) -> tuple[str, Shown, Shown]:
    """The same of a row of `why`."""
    return (
        change.item,
        (change.goes_from, change.link_before),
        (change.goes_to, change.link_after),
    )


def crowds(asked: Question, answer: WhyAnswer, now: Placed) -> None:
    """There is no plan with it there but without all those that are named, each with a reason."""
    assert now.plan
    assert not has_a_plan(with_it_there(asked))
    out = {name for left in answer.more.left for name in (left.item, *left.with_it)}
    assert out
    assert all(left.reasons for left in answer.more.left)
    assert all(one.rule and one.text for left in answer.more.left for one in left.reasons)
    assert all(asked.problem.part[name].wish.required for name in out)
    assert out <= {change.item for change in answer.plan.parts if change.goes_to is None}
    assert has_a_plan(with_it_there(asked, out))
    for name in sorted(out):
        assert not has_a_plan(with_it_there(asked, out - {name})), f"{name} has a place"


@pytest.mark.parametrize("number", mostly_long(range(3), 3))
def test_what_is_said_of_the_other_place_is_what_place_finds_there(number: int) -> None:
    found = Counter(held(question(one)) for one in range(24 * number, 24 * number + 24))
    assert set(found) >= {"there", "costs", "as-good", "forbidden"}
    assert number < 2 or found["crowds-out"]


@pytest.mark.long
@pytest.mark.parametrize("hundreds", range(1, 6))
def test_it_is_so_of_many_more(hundreds: int) -> None:
    for number in range(100 * hundreds, 100 * hundreds + 100):
        held(question(number))
