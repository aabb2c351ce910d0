"""Solver against a judge that looks at every plan and imports no rule: see tests/oracle."""

from __future__ import annotations

from random import Random

import pytest

from slotfit import api
from slotfit.model.plan import Status
from tests.builds import THEMES, small_build
from tests.oracle.judge import best

SEEDS = 12
"""Builds of each theme in the default run."""


def agree(theme: str, seed: int) -> bool:
    """Same word on feasibility, same value in every preference; True if there is a plan."""
    problem = small_build(Random(seed), theme)
    judged = best(problem)
    answer = api.place(problem).answer
    if judged.cost is None:
        assert answer.status is Status.IMPOSSIBLE, f"{theme} {seed}: the judge finds no plan"
        return False
    assert answer.plan is not None, f"{theme} {seed}: the judge finds a plan"
    values = tuple(stage.value for stage in answer.plan.stages)
    assert values == judged.cost, f"{theme} {seed}: {problem.preferences}"
    chosen = {seat.item: seat.site for seat in answer.plan.seats}
    places = [dict(choice.places) for choice in judged.choices]
    assert chosen in places, f"{theme} {seed}: not among the judge's best plans"
    return True


@pytest.mark.parametrize("theme", THEMES)
def test_solver_and_judge_agree(theme: str) -> None:
    for seed in range(SEEDS):
        agree(theme, seed)


def test_the_builds_bite() -> None:
    """Of the same builds a fair share has a plan and a fair share has none."""
    outcomes = [agree(theme, seed) for theme in THEMES for seed in range(2)]
    assert 0.2 < sum(outcomes) / len(outcomes) < 0.9


@pytest.mark.long
@pytest.mark.parametrize("theme", THEMES)
def test_solver_and_judge_agree_at_length(theme: str) -> None:
    for seed in range(SEEDS, 80):
        agree(theme, seed)
