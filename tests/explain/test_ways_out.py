"""
Ways out of random builds that do not fit.

Each gives a plan that the plain judge allows, no step of one is idle, and none of their size is
missing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from itertools import combinations

import pytest

from slotfit import api
from slotfit.answers.no_plan.answer import WayOut
from slotfit.answers.no_plan.case import canonical, case_of
from slotfit.answers.no_plan.explain import Findings
from slotfit.answers.no_plan.give_up import KINDS, RANK, Option
from slotfit.answers.no_plan.ways_out import Table, tabled
from slotfit.answers.place.plan import best_plan
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem
from tests.builds import THEMES
from tests.limits import SECONDS, mostly_long
from tests.oracle.judge import Judge, choice_of
from tests.solve.looked_at import of_theme

OF_A_THEME = 2


@cache
def told(theme: str) -> list[tuple[Problem, Findings]]:
    """Some builds of a theme that have no plan, with every way out."""
    found = [problem for problem, best in of_theme(theme) if best.cost is None][:OF_A_THEME]
    return [(problem, api.explain(problem, ways=200, seconds=SECONDS)) for problem in found]


def table_of(problem: Problem) -> Table:
    return tabled(case_of(canonical(problem)), [], None, {})


def after(problem: Problem, options: Iterable[Option]) -> Plan | None:
    """The plan once these are done."""
    problem = canonical(problem)
    for option in options:
        problem = option.made(problem)
    return best_plan(problem, SECONDS).plan


def options_of(table: Table, way: WayOut) -> list[Option]:
    """What the steps of a way out stand for."""
    plan = way.placed.plan
    texts = [step.text for step in way.steps]
    found = [o for change in table.changes for o in change.options if o.words(plan) in texts]
    assert len(found) == len(texts)
    return found


@pytest.mark.parametrize("theme", mostly_long(THEMES, 3, first=1))
def test_the_plain_judge_allows_every_plan(theme: str) -> None:
    for _, explanation in told(theme):
        for way in explanation.found.ways:
            plan = way.placed.plan
            assert plan is not None
            choice = choice_of(plan)
            complaints, worth = Judge(way.placed.problem).judge(choice)
            assert complaints == ()
            assert [worth[one.stage] for one in plan.stages] == [one.value for one in plan.stages]


@pytest.mark.parametrize("theme", THEMES)
def test_no_step_is_idle(theme: str) -> None:
    for problem, explanation in told(theme):
        table = table_of(problem)
        for way in explanation.found.ways[:3]:
            options = options_of(table, way)
            assert after(problem, options) is not None
            for fewer in combinations(options, len(options) - 1):
                assert after(problem, fewer) is None


@pytest.mark.parametrize("theme", THEMES)
def test_no_single_change_that_does_is_missing(theme: str) -> None:
    for problem, explanation in told(theme):
        listed = {way.steps[0].text for way in explanation.found.ways if len(way.steps) == 1}
        subjects: set[tuple[str, str]] = set()
        for change in table_of(problem).changes:
            plan = after(problem, change.options[:1])
            if plan and plan.seats and (change.kind, change.subject) not in subjects:
                assert explanation.found.size == 1
                assert change.options[0].words(plan) in listed
                subjects.add((change.kind, change.subject))
        assert len(listed) == len(subjects)


@pytest.mark.parametrize("theme", THEMES)
def test_the_least_is_asked_first(theme: str) -> None:
    for _, explanation in told(theme):
        ranks = [max(RANK[step.kind] for step in way.steps) for way in explanation.found.ways]
        assert ranks == sorted(ranks)
        assert explanation.found.complete
        assert not explanation.stopped


def texts(ways: Sequence[WayOut]) -> list[list[str]]:
    return [[step.text for step in way.steps] for way in ways]


@pytest.mark.parametrize("theme", THEMES[::4])
def test_what_is_not_worked_out_is_named(theme: str) -> None:
    for problem, explanation in told(theme):
        one = api.explain(problem, ways=1, seconds=SECONDS)
        assert len(one.found.ways) == min(1, len(explanation.found.ways))
        assert len(one.found.ways) + len(one.found.more) >= len(explanation.found.ways)
        assert all(way in texts(explanation.found.ways) for way in texts(one.found.ways))


def test_every_kind_says_why_it_stands_where_it_stands() -> None:
    assert len({kind.id for kind in KINDS}) == len(KINDS)
    assert all(kind.why and kind.title for kind in KINDS)
