"""`why` against the plain judge that looks at every plan: what forbids, what it costs, what not."""

from __future__ import annotations

from random import Random

import pytest

from slotfit.answers.place.plan import best_plan
from slotfit.answers.why.answer import WhyAnswer
from slotfit.answers.why.why import pinned, why
from slotfit.model.problem import Problem
from tests.builds import THEMES, small_build
from tests.limits import SECONDS
from tests.oracle import Best, best

FORCED = ("costs", "as-good")


def cost_of_plan(problem: Problem) -> tuple[int, ...]:
    """What the best plan comes to, preference by preference."""
    plan = best_plan(problem, SECONDS).plan
    assert plan is not None
    return tuple(stage.value for stage in plan.stages)


def agree(problem: Problem, whole: Best, part: str, receptacle: str) -> str:
    """Hold one answer to what all plans together say."""
    answer: WhyAnswer = why(problem, part, receptacle, SECONDS)
    status = answer.verdict.status
    only = problem.part[part].wish.only
    if only and receptacle not in only:
        assert status == "forbidden" or whole.cost is None
        return status
    forced = best(pinned(problem, part, receptacle))
    if status == "there":
        assert forced.cost == whole.cost == cost_of_plan(problem)
    elif status in FORCED:
        assert tuple(one.after.value.value for one in answer.more.stages) == forced.cost
        assert (status == "as-good") == (forced.cost == whole.cost)
    elif status == "no-plan":
        assert whole.cost is None
    else:
        assert forced.cost is None
        alone = best(pinned(problem, part, receptacle, others_must=False))
        assert (status == "forbidden") == (alone.cost is None)
        assert answer.more.reasons or answer.more.left
    return status


def asked(theme: str, number: int) -> str:
    """A part and a receptacle of its form, of a random build."""
    dice = Random(f"why {theme} {number}")
    problem = small_build(dice, theme)
    part = dice.choice(problem.parts)
    taken = [one for one in problem.receptacles if one.spec.form == part.spec.plug.form]
    receptacle = dice.choice(taken or list(problem.receptacles))
    return agree(problem, best(problem), part.id, receptacle.id)


@pytest.mark.parametrize("theme", THEMES)
def test_why_says_what_looking_at_every_plan_says(theme: str) -> None:
    asked(theme, 0)


def test_the_questions_come_out_every_way() -> None:
    found = {
        asked(theme, number) for theme in ("lanes", "optional", "supply") for number in range(16)
    }
    assert found >= {"there", "costs", "as-good", "forbidden", "crowds-out"}


@pytest.mark.long
@pytest.mark.parametrize("theme", THEMES)
def test_why_says_so_of_many_more(theme: str) -> None:
    for number in (1, 2, *range(100, 160)):
        asked(theme, number)
