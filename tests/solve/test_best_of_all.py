"""What slotfit proves is what a plain judge finds by looking at every plan."""

from __future__ import annotations

from random import Random

import pytest

from slotfit.answers.place.plan import best_plan
from slotfit.engine.referee import stage_values
from slotfit.model.plan import Placed, Status
from slotfit.model.problem import Problem
from tests.builds import THEMES, small_build
from tests.limits import SECONDS
from tests.oracle import Best, Judge, best
from tests.oracle.judge import choice_of
from tests.solve.looked_at import OF_EACH_THEME, drawn, placed


def agree(problem: Problem, found: Best, answer: Placed) -> None:
    """The answer is the judge's: feasible or not, each stage, and one of the best plans."""
    if found.cost is None:
        assert answer.status is Status.IMPOSSIBLE
        assert answer.plan is None
        return
    plan = answer.plan
    assert answer.status is Status.PROVEN
    assert plan is not None
    assert tuple(stage.stage for stage in plan.stages) == problem.preferences
    assert tuple(stage.value for stage in plan.stages) == found.cost
    assert all(stage.bound == stage.value for stage in plan.stages)
    choice = choice_of(plan)
    assert choice in found.choices
    # Stages that the build leaves out are worked out alike too.
    complaints, costs = Judge(problem).judge(choice)
    assert complaints == ()
    assert stage_values(problem, plan) == costs
    assert len(plan.facts) == costs["unproven-facts"]


@pytest.mark.parametrize("theme", THEMES)
def test_the_plan_is_the_best_of_all(theme: str) -> None:
    for number in range(OF_EACH_THEME):
        problem, found = drawn(theme, number)
        agree(problem, found, placed(theme, number))


@pytest.mark.long
@pytest.mark.parametrize("theme", THEMES)
def test_the_plan_is_the_best_of_all_of_many_more(theme: str) -> None:
    for number in (*range(OF_EACH_THEME, 12), *range(1000, 1080)):
        problem = small_build(Random(f"{theme} {number}"), theme)
        agree(problem, best(problem), best_plan(problem, SECONDS))


def test_the_judge_sees_a_difference() -> None:
    """A judge that agrees with everything would be no judge: change the answer, and it objects."""
    theme, number = next(
        (theme, number)
        for theme in THEMES
        for number in range(OF_EACH_THEME)
        if len(drawn(theme, number)[1].choices) == 1 and drawn(theme, number)[1].looked_at > 20
    )
    problem, found = drawn(theme, number)
    answer = placed(theme, number)
    assert found.cost is not None
    worse = Best(tuple(cost + 1 for cost in found.cost), found.choices, found.bites, 0)
    elsewhere = Best(found.cost, (), found.bites, 0)
    nowhere = Best(None, (), found.bites, 0)
    for wrong in (worse, elsewhere, nowhere):
        with pytest.raises(AssertionError):
            agree(problem, wrong, answer)
