"""
Clashes of random builds that do not fit, held against other solvers and published algorithms.

That these builds do not fit is the plain judge's word (tests/oracle), which looks at every plan.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from random import Random

import pytest
from cpmpy.tools.explain.mus import mus_naive

from slotfit.answers.no_plan.case import Case, canonical, case_of
from slotfit.answers.no_plan.clash import clash_of
from slotfit.model.clause import Clause
from slotfit.model.problem import Problem
from slotfit.solve import clash as solving
from slotfit.solve.clash import Core, minimal_core
from slotfit.solve.engine import Clock
from tests.builds import THEMES, small_build
from tests.explain.other_solvers import highs_can_hold, in_cpmpy
from tests.limits import SECONDS, mostly_long
from tests.solve.looked_at import OF_EACH_THEME, of_theme


@cache
def impossible(theme: str) -> list[tuple[Problem, Case, Core]]:
    """Builds of a theme that have no plan, each with its clash."""
    found = []
    for problem, best in of_theme(theme):
        if best.cost is None:
            case = case_of(canonical(problem))
            clash, core = clash_of(case, Clock(SECONDS))
            assert clash is not None
            assert core is not None
            found.append((problem, case, core))
    return found


def test_there_is_something_to_look_at() -> None:
    assert sum(len(impossible(theme)) for theme in THEMES) >= 60


@pytest.mark.parametrize("theme", THEMES)
def test_what_can_be_placed_has_no_clash(theme: str) -> None:
    for problem, best in of_theme(theme):
        if best.cost is not None:
            assert clash_of(case_of(canonical(problem)), Clock(SECONDS)) == (None, None)


@pytest.mark.parametrize("theme", THEMES)
def test_highs_finds_every_clash_impossible_and_every_part_of_it_possible(theme: str) -> None:
    for _, case, core in impossible(theme)[:2]:
        assert core.minimal
        assert not highs_can_hold(case.stated, core.names)
        for name in core.names:
            assert highs_can_hold(case.stated, set(core.names) - {name})


@pytest.mark.long
@pytest.mark.parametrize("theme", THEMES)
def test_highs_agrees_on_hundreds_of_builds(theme: str) -> None:
    for number in range(OF_EACH_THEME + 60):
        problem = small_build(Random(f"{theme} {number}"), theme)
        case = case_of(canonical(problem))
        clash, core = clash_of(case, Clock(SECONDS))
        assert (core is None) == highs_can_hold(case.stated, case.stated.soft)
        if core is not None:
            assert clash is not None
            assert core.minimal
            assert not highs_can_hold(case.stated, core.names)
            for name in core.names:
                assert highs_can_hold(case.stated, set(core.names) - {name})


@pytest.mark.parametrize("theme", THEMES)
def test_a_plain_deletion_loop_finds_nothing_idle(theme: str) -> None:
    """CPMpy's naive algorithm, given the clash, keeps every reason of it."""
    for _, case, core in impossible(theme)[:2]:
        hard, switches = in_cpmpy(case.stated)
        told = [switches[name] for name in core.names]
        assert set(map(str, mus_naive(told, hard=hard))) == set(map(str, told))


@pytest.mark.parametrize("theme", THEMES[::3])
def test_the_naive_algorithm_finds_a_clash_where_we_do(theme: str) -> None:
    """Over all reasons it may end in another clash, whose size need not be ours."""
    for _, case, _ in impossible(theme)[:1]:
        hard, switches = in_cpmpy(case.stated)
        by_switch = {str(switch): name for name, switch in switches.items()}
        theirs = [by_switch[str(one)] for one in mus_naive([*switches.values()], hard=hard)]
        assert not highs_can_hold(case.stated, theirs)
        # What has nothing in common with our clash is either a second one, or no clash at all.
        rest = set(case.stated.soft).difference(theirs)
        again = minimal_core(replace(case.stated, soft=only(case, rest)), [], Clock(SECONDS))
        assert (again is None) == highs_can_hold(case.stated, rest)


def only(case: Case, names: set[str]) -> dict[str, tuple[Clause, ...]]:
    return {name: clauses for name, clauses in case.stated.soft.items() if name in names}


def one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every reason of a clash is solved for."""
    monkeypatch.setattr(solving, "also_needed", lambda *_: ())


@pytest.mark.parametrize("number", mostly_long(range(6), 2))
@pytest.mark.parametrize("theme", THEMES)
def test_a_clash_is_the_same_as_if_every_reason_were_solved_for(
    theme: str, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    case = case_of(canonical(small_build(Random(f"remembered {theme} {number}"), theme)))
    quick = clash_of(case, Clock(SECONDS))
    with monkeypatch.context() as plain:
        one_by_one(plain)
        assert clash_of(case, Clock(SECONDS)) == quick
