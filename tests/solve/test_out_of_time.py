"""Little time, or Ctrl-C: the best so far with its bounds, and never a false "impossible"."""

from __future__ import annotations

import subprocess
import sys
from random import Random

import pytest

from slotfit.answers.place.plan import best_plan, state_all
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.plan import Placed, Status
from slotfit.solve import place as placing
from slotfit.solve.engine import Model, Result, Solution, solve
from slotfit.solve.frame import build_frame
from slotfit.solve.prefer import preferred
from tests.builds import THEMES, big_build
from tests.limits import SECONDS
from tests.solve.looked_at import build_of, drawn, of_all_themes


def stands(answer: Placed, cost: tuple[int, ...]) -> None:
    """A plan that need not be the best, each bound being a true one as far as it is proven."""
    assert answer.plan is not None
    values = tuple(stage.value for stage in answer.plan.stages)
    assert len(values) == len(cost)
    assert values >= cost
    for stage, best in zip(answer.plan.stages, cost, strict=True):
        assert stage.bound <= stage.value
        assert stage.bound <= best
        if stage.value != best:
            assert not stage.proven
            break  # later bounds are for plans that are as good so far


def test_no_time_at_all_is_not_known() -> None:
    for theme in THEMES:
        assert best_plan(build_of(theme, 0), seconds=0).status is Status.UNKNOWN


def rationed(steps: int) -> object:
    """A solver that answers so many objectives, and then runs out of time."""
    left = steps

    def solve_some(model: Model, seconds: float) -> Solution:
        nonlocal left
        left -= 1
        return solve(model, seconds) if left >= 0 else Solution(Result.UNKNOWN)

    return solve_some


@pytest.mark.parametrize("steps", [1, 2, 3])
def test_the_best_so_far_stands_with_its_bounds(
    steps: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The referee checks every such plan too: best_plan raises if its values are not the plan's."""
    seen: set[Status] = set()
    monkeypatch.setattr("slotfit.solve.prefer.PACKED_RANGE", 1)
    for theme in THEMES:
        problem, found = drawn(theme, 3)
        monkeypatch.setattr(placing, "solve", rationed(steps))
        answer = best_plan(problem, SECONDS)
        seen.add(answer.status)
        if found.cost is None:
            assert answer.status is Status.IMPOSSIBLE
        else:
            stands(answer, found.cost)
            assert answer.plan is not None
            is_proven = all(stage.proven for stage in answer.plan.stages)
            assert answer.status is (Status.PROVEN if is_proven else Status.UNPROVEN)
    assert {Status.IMPOSSIBLE, Status.UNPROVEN} <= seen


def first_found(model: Model, seconds: float) -> Solution:
    """A plan, but not the best, and helpers as the solver left them: as when time runs out."""
    objective = model.proto.objective
    variables, weights = list(objective.vars), list(objective.coeffs)
    model.minimise((v, -w) for v, w in zip(variables, weights, strict=True))
    found = solve(model, seconds)
    if found.result is not Result.OPTIMAL:
        return found
    return Solution(Result.FEASIBLE, found.values, bound=-(1 << 40))


def test_a_plan_found_in_haste_shows_what_it_costs(monkeypatch: pytest.MonkeyPatch) -> None:
    """The worst plan there is: its values are its own, not those of helpers left too high."""
    monkeypatch.setattr(placing, "solve", first_found)
    worse = 0
    for problem, found in of_all_themes()[::3]:
        answer = best_plan(problem, SECONDS)
        if found.cost is None:
            assert answer.status is Status.IMPOSSIBLE
            continue
        stands(answer, found.cost)
        assert answer.plan is not None
        worse += tuple(stage.value for stage in answer.plan.stages) > found.cost
    assert worse > 20


def test_a_tie_break_cut_short_leaves_the_proof_standing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Which of several best plans is shown is no preference: there is no better one."""
    problem, found = next(each for each in of_all_themes() if len(each[1].choices) > 1)
    seating, clauses = state_all(problem)
    steps = len(preferred(build_frame(problem, seating, clauses, in_order=True)))
    monkeypatch.setattr(placing, "solve", rationed(steps))
    answer = best_plan(problem, SECONDS)
    assert answer.status is Status.PROVEN
    assert answer.plan is not None
    assert tuple(stage.value for stage in answer.plan.stages) == found.cost


@pytest.mark.parametrize("seconds", [0.001, 0.02, 0.1])
def test_a_big_build_in_no_time_is_never_impossible(seconds: float) -> None:
    answer = best_plan(big_build(Random(1), 11, 14), seconds)
    assert answer.status is not Status.IMPOSSIBLE
    assert (answer.plan is None) == (answer.status is Status.UNKNOWN)


INTERRUPTED = """
import os, signal
from random import Random
from ortools.sat.python.cp_model import CpSolverSolutionCallback
from slotfit.answers.place.plan import best_plan
from slotfit.solve import engine
from tests.builds import big_build
from tests.limits import SECONDS

class CtrlC(CpSolverSolutionCallback):
    def on_solution_callback(self):
        os.kill(os.getpid(), signal.SIGINT)

search = engine.run

def run(wrapper, model):
    if stages:
        wrapper.add_solution_callback(ctrl_c)
    return search(wrapper, model)

stages, ctrl_c, engine.run = [], CtrlC(), run
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell may have it ignored
problem = big_build(Random(0), 40, 60)
answer = best_plan(problem, SECONDS, lambda *stage: stages.append(stage))
print(answer.status.value, answer.plan is not None, len(stages))
"""


def test_ctrl_c_ends_the_search_with_the_best_so_far() -> None:
    """It comes as soon as the solver has a plan for the first preference, and far from the best."""
    done = subprocess.run(
        [sys.executable, "-c", INTERRUPTED], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == "unproven True 1\n"


def test_nothing_to_choose_and_nothing_preferred_is_a_plan_and_no_lack_of_time() -> None:
    board = "{id: b, processors: [{id: cpu0}], receptacles: [{id: bay, form: sata}]}"
    text = f"id: a\nmachines: [{{id: m, board: {board}}}]\nparts: []\npreferences: []\n"
    answer = best_plan(load_build_text(text, Catalog(())), SECONDS)
    assert answer.status is Status.PROVEN
    assert answer.plan
    assert answer.plan.seats == ()
