"""
Clashes of random builds as they are told: read by what hardware does, not by our own clauses.

The sentences cannot all hold, whatever else may be otherwise; without any one of them they can.
"""

from __future__ import annotations

from functools import cache
from itertools import combinations
from random import Random

import pytest

from slotfit.answers.no_plan.answer import Clash
from slotfit.answers.no_plan.case import canonical, case_of
from slotfit.answers.no_plan.explain import Findings, find_clashes
from slotfit.model.problem import Problem
from slotfit.model.reason import No
from slotfit.solve.engine import Clock
from tests.builds import THEMES, small_build
from tests.limits import SECONDS, mostly_long
from tests.oracle.judge import Judge
from tests.oracle.told import Telling

OF_A_THEME = 20

Told = list[tuple[Clash, list[tuple[str, list[No]]]]]
"""Each clash with its reasons: the words of each, and each time that a rule says it."""


@cache
def clashes(theme: str, number: int) -> tuple[Problem, Told]:
    """A random build, and its clashes; none if it fits."""
    problem = canonical(small_build(Random(f"told {theme} {number}"), theme))
    case, known = case_of(problem), Findings()
    find_clashes(case, Clock(SECONDS), known)
    reasons = [[case.reasons[name] for name in core.names] for core in known.cores]
    told = [[(one.text, one.nos) for one in each] for each in reasons]
    return problem, list(zip(known.clashes, told, strict=True))


BUILDS = [
    pytest.param(theme, *number.values, marks=number.marks)
    for theme in THEMES
    for number in mostly_long(range(OF_A_THEME), 10)
]


@pytest.mark.parametrize(("theme", "number"), BUILDS)
def test_sentences_cannot_all_hold_and_without_any_one_they_can(theme: str, number: int) -> None:
    problem, told = clashes(theme, number)
    telling = Telling(problem, Judge(problem))
    for clash, reasons in told:
        assert not telling.can_hold([no for _, nos in reasons for no in nos]), clash
        for sentence in clash.sentences:
            left = [no for text, nos in reasons if text not in sentence.reasons for no in nos]
            assert telling.can_hold(left), (sentence, clash)


def facts(reasons: list[tuple[str, list[No]]]) -> set[tuple[str, str]]:
    """What is cited, but that parts must be placed."""
    nos = [no for _, nos in reasons for no in nos if no.case != "required"]
    return {(fact.thing, fact.path) for no in nos for fact in no.facts}


@pytest.mark.parametrize(("theme", "number"), BUILDS)
def test_no_two_clashes_cite_the_same_fact(theme: str, number: int) -> None:
    _, told = clashes(theme, number)
    for (_, one), (_, other) in combinations(told, 2):
        assert facts(one).isdisjoint(facts(other))
