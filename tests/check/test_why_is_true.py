"""`why` against the plain judge that looks at every plan: what forbids, what it costs, what not."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from slotfit.answers.place.plan import best_plan
from slotfit.answers.why.answer import WhyAnswer
from slotfit.answers.why.why import why
from slotfit.model.problem import Problem
from tests.builds import THEMES, small_build
from tests.limits import SECONDS, mostly_long
from tests.oracle import Best, best

FORCED = ("costs", "as-good")


def cost_of_plan(problem: Problem) -> tuple[int, ...]:
    """What the best plan comes to, preference by preference."""
    plan = best_plan(problem, SECONDS).plan
    assert plan is not None
    return tuple(stage.value for stage in plan.stages)


HEAVY = 1000
"""More than all that is optional weighs in such a build."""


def with_it_there(problem: Problem, part: str, receptacle: str) -> Problem:
    """The build with the part placed in the receptacle, and as optional as before in all else."""
    there = {"pin": receptacle}
    parts = (
        replace(one, wish=one.wish.model_copy(update=there), asked_of=True)
        if one.id == part
        else one
        for one in problem.parts
    )
    return replace(problem, parts=tuple(parts))


def all_but_it_optional(problem: Problem, part: str) -> Problem:
    """The build with all else optional, what was required last to go, and no other preference."""
    must = {one.id: one.wish.required and one.id != part for one in problem.parts}
    parts = (
        replace(one, wish=one.wish.model_copy(update={"required": False, "weight": HEAVY}))
        if must[one.id]
        else one
        for one in problem.parts
    )
    return replace(problem, parts=tuple(parts), preferences=("optional-parts",))


def agree(problem: Problem, whole: Best, part: str, receptacle: str) -> str:
    """Hold one answer to what all plans together say."""
    answer: WhyAnswer = why(problem, part, receptacle, SECONDS)
    status = answer.verdict.status
    only = problem.part[part].wish.only
    if only and receptacle not in only:
        assert status == "forbidden" or whole.cost is None
        return status
    forced = best(with_it_there(problem, part, receptacle))
    if status == "there":
        assert forced.cost == whole.cost == cost_of_plan(problem)
    elif status in FORCED:
        assert tuple(one.after.value.value for one in answer.more.stages) == forced.cost
        assert (status == "as-good") == (forced.cost == whole.cost)
    elif status == "no-plan":
        assert whole.cost is None
    else:
        assert forced.cost is None
        least = best(all_but_it_optional(with_it_there(problem, part, receptacle), part)).cost
        assert (status == "forbidden") == (least is None)
        assert answer.more.reasons or all(left.reasons for left in answer.more.left)
        if least is not None:
            out = [name for left in answer.more.left for name in (left.item, *left.with_it)]
            assert len(out) == least[0] // HEAVY
    return status


def asked(theme: str, number: int) -> str:
    """A part and a receptacle of its form, of a random build."""
    dice = Random(f"why {theme} {number}")
    problem = small_build(dice, theme)
    part = dice.choice(problem.parts)
    taken = [one for one in problem.receptacles if one.spec.form == part.spec.plug.form]
    receptacle = dice.choice(taken or list(problem.receptacles))
    return agree(problem, best(problem), part.id, receptacle.id)


@pytest.mark.parametrize("theme", mostly_long(THEMES, 3, first=2))
def test_why_says_what_looking_at_every_plan_says(theme: str) -> None:
    asked(theme, 0)


@pytest.mark.long
@pytest.mark.parametrize("theme", THEMES)
def test_why_says_so_of_many_more(theme: str) -> None:
    for number in (1, 2, *range(100, 140)):
        asked(theme, number)
