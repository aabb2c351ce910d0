"""`why` against the plain judge that looks at every plan: what forbids, what it costs, what not."""

from __future__ import annotations

from random import Random

import pytest

from slotfit.answers.why.answer import Case, Why, pinned, why
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem
from tests.builds import THEMES, small_build
from tests.limits import SECONDS
from tests.oracle import Best, best

FORCED = (Case.COSTS, Case.AS_GOOD)


def values(plan: Plan | None) -> tuple[int, ...]:
    """What a plan comes to, preference by preference."""
    assert plan is not None
    return tuple(stage.value for stage in plan.stages)


def agree(problem: Problem, whole: Best, part: str, receptacle: str) -> Case:
    """Hold one answer to what all plans together say."""
    answer: Why = why(problem, part, receptacle, SECONDS)
    only = problem.part[part].wish.only
    if only and receptacle not in only:
        assert answer.case is Case.FORBIDDEN or whole.cost is None
        return answer.case
    forced = best(pinned(problem, part, receptacle))
    if answer.case is Case.THERE:
        assert forced.cost == whole.cost == values(answer.plan)
    elif answer.case in FORCED:
        assert values(answer.forced) == forced.cost
        assert (answer.case is Case.AS_GOOD) == (forced.cost == whole.cost)
    elif answer.case is Case.NO_PLAN:
        assert whole.cost is None
    else:
        assert forced.cost is None
        alone = best(pinned(problem, part, receptacle, others_must=False))
        assert (answer.case is Case.FORBIDDEN) == (alone.cost is None)
        assert answer.reasons or answer.left
    return answer.case


def asked(theme: str, number: int) -> Case:
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
    assert found >= {Case.THERE, Case.COSTS, Case.AS_GOOD, Case.FORBIDDEN, Case.CROWDS_OUT}


@pytest.mark.long
@pytest.mark.parametrize("theme", THEMES)
def test_why_says_so_of_many_more(theme: str) -> None:
    for number in (1, 2, *range(100, 160)):
        asked(theme, number)
