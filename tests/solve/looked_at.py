"""Builds of which every plan has been looked at, once for all tests."""

from __future__ import annotations

from functools import cache
from random import Random

from slotfit import api
from slotfit.model.plan import Placed
from slotfit.model.problem import Problem
from tests.builds import THEMES, small_build
from tests.oracle import Best, best

OF_EACH_THEME = 12


@cache
def drawn(theme: str, number: int) -> tuple[Problem, Best]:
    """One build of a theme, and what is best of all its plans."""
    problem = small_build(Random(f"{theme} {number}"), theme)
    return problem, best(problem)


@cache
def placed(theme: str, number: int) -> Placed:
    """What slotfit makes of the same build."""
    return api.place(drawn(theme, number)[0], seconds=600)


def of_theme(theme: str) -> list[tuple[Problem, Best]]:
    """The builds of a theme that the quick tests look at."""
    return [drawn(theme, number) for number in range(OF_EACH_THEME)]


def of_all_themes() -> list[tuple[Problem, Best]]:
    """All of them."""
    return [each for theme in THEMES for each in of_theme(theme)]
