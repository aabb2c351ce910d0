"""
Another solver, on the plainest model of the same clauses, finds the same values stage by stage.

HiGHS runs without presolve, which called feasible models infeasible; and each stage on its own,
with no parts put in order and no variables shared, so that those are checked too.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import product
from random import Random

import highspy
import pytest

from slotfit.answers.place.plan import best_plan, state_all
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.solve import frame as framing
from slotfit.solve.engine import FAR, Model, Term
from slotfit.solve.frame import Frame, build_frame
from slotfit.solve.prefer import STAGES, stage_value
from tests.builds import THEMES, big_build
from tests.limits import SECONDS
from tests.solve.looked_at import OF_EACH_THEME, build_of

SIZES = [(7, 8), (7, 8), (7, 8), (7, 9), (9, 10), (9, 11), (11, 12)]


def plainest(problem: Problem, monkeypatch: pytest.MonkeyPatch) -> Frame:
    """A variable for every seat, a row for every clause."""
    seating, clauses = state_all(problem)
    with monkeypatch.context() as patched:
        patched.setattr(framing, "merged", lambda seats, *_: [[seat] for seat in seats])
        patched.setattr(framing, "gathered", lambda clauses, _: clauses)
        return build_frame(problem, seating, clauses, in_order=False)


def in_highs(model: Model) -> highspy.Highs:
    """The same variables and rows."""
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("presolve", "off")
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_abs_gap", 0.5)
    for number, (low, high) in enumerate(model.domains):
        highs.addVar(low, high)
        highs.changeColIntegrality(number, highspy.HighsVarType.kInteger)
    for row in model.proto.constraints:
        assert not row.enforcement_literal
        add_row(
            highs, list(zip(row.linear.vars, row.linear.coeffs, strict=True)), row.linear.domain
        )
    return highs


def add_row(highs: highspy.Highs, terms: Sequence[Term], ends: Sequence[int]) -> None:
    low, high = (
        highspy.kHighsInf * (1 if end > 0 else -1) if abs(end) >= FAR else end for end in ends
    )
    highs.addRow(low, high, len(terms), [v for v, _ in terms], [float(c) for _, c in terms])


def stage_optima(frame: Frame, stages: Mapping[str, list[Term]]) -> list[int] | None:
    """Each stage made small in turn, the earlier ones held; None if there is no plan."""
    highs = in_highs(frame.model)
    values: list[int] = []
    for name, terms in stages.items():
        costs = dict(terms)
        for variable in range(len(frame.model.domains)):
            highs.changeColCost(variable, float(costs.get(variable, 0)))
        highs.run()
        status = highs.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        assert status == highspy.HighsModelStatus.kOptimal
        solution = highs.getSolution().col_value
        reached = sum(cost * round(solution[variable]) for variable, cost in terms)
        if terms:
            add_row(highs, terms, (reached, reached))
        values.append(stage_value(name, reached, reached, frame).value)
    return values


def compare(problem: Problem, monkeypatch: pytest.MonkeyPatch) -> bool:
    """Both solvers' stage optima are the same; True if there is a plan."""
    frame = plainest(problem, monkeypatch)
    stages = {str(stage): STAGES[stage](frame) for stage in problem.preferences}
    theirs = stage_optima(frame, stages)
    answer = best_plan(problem, SECONDS)
    assert answer.status is (Status.IMPOSSIBLE if theirs is None else Status.PROVEN)
    if answer.plan is not None:
        assert [stage.value for stage in answer.plan.stages] == theirs
    return theirs is not None


def test_small_builds(monkeypatch: pytest.MonkeyPatch) -> None:
    every = product(THEMES, range(0, OF_EACH_THEME, 6))
    plans = [compare(build_of(theme, number), monkeypatch) for theme, number in every]
    assert len(plans) > 30
    assert any(plans)
    assert not all(plans)


@pytest.mark.parametrize("number", range(len(SIZES)))
def test_builds_of_a_real_size(number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    slots, parts = SIZES[number]
    assert compare(big_build(Random(f"highs {number}"), slots, parts), monkeypatch)


@pytest.mark.long
@pytest.mark.parametrize("number", range(60))
def test_many_builds_of_a_real_size(number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    dice = Random(f"many {number}")
    assert compare(big_build(dice, dice.randint(5, 11), dice.randint(6, 13)), monkeypatch)
