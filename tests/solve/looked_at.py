"""Builds of which every plan has been looked at, once for all tests."""

from __future__ import annotations

from functools import cache
from random import Random

from slotfit.answers.place.plan import best_plan
from slotfit.model.plan import Placed
from slotfit.model.problem import Problem
from tests.builds import THEMES, small_build
from tests.limits import SECONDS
from tests.oracle import Best, best

OF_EACH_THEME = 6


@cache
def build_of(theme: str, number: int) -> Problem:
    """One build of a theme."""
    return small_build(Random(f"{theme} {number}"), theme)


@cache
def drawn(theme: str, number: int) -> tuple[Problem, Best]:
    """The same with what is best of all its plans."""
    problem = build_of(theme, number)
    return problem, best(problem)


@cache
def placed(theme: str, number: int) -> Placed:
    """What slotfit makes of the same build."""
    return best_plan(build_of(theme, number), SECONDS)


def of_theme(theme: str) -> list[tuple[Problem, Best]]:
    """The builds of a theme that the quick tests look at."""
    return [drawn(theme, number) for number in range(OF_EACH_THEME)]


def of_all_themes() -> list[tuple[Problem, Best]]:
    """All of them."""
    return [each for theme in THEMES for each in of_theme(theme)]
