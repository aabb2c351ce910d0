"""Little time, or Ctrl-C: the best so far with its bounds, and never a false "impossible"."""

from __future__ import annotations

import signal
import subprocess
import sys
from random import Random

import pytest

from slotfit import api
from slotfit.model.plan import Placed, Status
from slotfit.solve import place as placing
from slotfit.solve.engine import Model, Result, Solution, solve
from slotfit.solve.frame import build_frame
from slotfit.solve.prefer import preferred
from tests.builds import THEMES, big_build
from tests.solve.looked_at import drawn, of_all_themes


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
        assert api.place(drawn(theme, 0)[0], seconds=0).status is Status.UNKNOWN


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
    """The referee checks every such plan too: api.place raises if its values are not the plan's."""
    seen: set[Status] = set()
    monkeypatch.setattr("slotfit.solve.prefer.PACKED_RANGE", 1)
    for theme in THEMES:
        problem, found = drawn(theme, 3)
        monkeypatch.setattr(placing, "solve", rationed(steps))
        answer = api.place(problem)
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
        answer = api.place(problem)
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
    seating, clauses = api.state_all(problem)
    steps = len(preferred(build_frame(problem, seating, clauses, in_order=True)))
    monkeypatch.setattr(placing, "solve", rationed(steps))
    answer = api.place(problem)
    assert answer.status is Status.PROVEN
    assert answer.plan is not None
    assert tuple(stage.value for stage in answer.plan.stages) == found.cost


@pytest.mark.parametrize("seconds", [0.001, 0.02, 0.1])
def test_a_big_build_in_no_time_is_never_impossible(seconds: float) -> None:
    answer = api.place(big_build(Random(1), 11, 14), seconds)
    assert answer.status is not Status.IMPOSSIBLE
    assert (answer.plan is None) == (answer.status is Status.UNKNOWN)


INTERRUPTED = """
import signal
from random import Random
from slotfit import api
from tests.builds import big_build

signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell may have it ignored
problem = big_build(Random(0), 40, 60)
answer = api.place(problem, 600, lambda *stage: print("at work", flush=True))
print(answer.status.value, len(answer.plan.seats) if answer.plan else None)
"""


def test_ctrl_c_ends_the_search_with_the_best_so_far() -> None:
    with subprocess.Popen(
        [sys.executable, "-c", INTERRUPTED],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "at work\n"
        with pytest.raises(subprocess.TimeoutExpired):
            process.wait(timeout=1.5)
        process.send_signal(signal.SIGINT)
        output, errors = process.communicate(timeout=60)
    assert (process.returncode, errors) == (0, "")
    status, seats = output.splitlines()[-1].split()
    assert status in ("unproven", "unknown")
    assert (seats == "None") == (status == "unknown")
