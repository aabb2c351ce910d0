"""The explanation hangs on what the build says, not on the order in which it says it."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from random import Random

import pytest

from slotfit import api
from slotfit.answers.no_plan.explain import no_plan_answer
from slotfit.answers.no_plan.text import no_plan_text
from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.model.build import Group
from slotfit.model.problem import Problem
from tests.builds import THEMES, small_build
from tests.limits import SECONDS, mostly_long
from tests.solve.looked_at import of_theme

SEEDS = ("0", "77")

SCRIPT = """
from random import Random
from tests.builds import small_build
from tests.explain.test_same_words import text_of
for theme, number in {cases}:
    print(text_of(small_build(Random(f"{{theme}} {{number}}"), theme)))
"""


def text_of(problem: Problem) -> str:
    """The whole explanation as it is printed."""
    placed = best_plan(problem, SECONDS)
    told = no_plan_answer(api.explain(problem, seconds=SECONDS))
    return no_plan_text(answer_of(placed), told)


def shuffled(problem: Problem, dice: Random) -> Problem:
    """The same problem, its lists in another order."""
    machines = [
        replace(
            machine,
            board=machine.board.model_copy(
                update={
                    "receptacles": tuple(
                        dice.sample(machine.board.receptacles, len(machine.board.receptacles))
                    ),
                    "lane_groups": tuple(
                        dice.sample(machine.board.lane_groups, len(machine.board.lane_groups))
                    ),
                    "processors": tuple(
                        dice.sample(machine.board.processors, len(machine.board.processors))
                    ),
                }
            ),
        )
        for machine in problem.machines
    ]
    return replace(
        problem,
        machines=tuple(dice.sample(machines, len(machines))),
        parts=tuple(dice.sample(problem.parts, len(problem.parts))),
        receptacles=tuple(dice.sample(problem.receptacles, len(problem.receptacles))),
        today=dict(dice.sample(list(problem.today.items()), len(problem.today))),
        together=mixed(problem.together, dice),
        apart=mixed(problem.apart, dice),
    )


def mixed(groups: tuple[Group, ...], dice: Random) -> tuple[Group, ...]:
    """The same groups with the same members."""
    return tuple(
        group.model_copy(update={"parts": tuple(dice.sample(group.parts, len(group.parts)))})
        for group in dice.sample(groups, len(groups))
    )


def impossible(theme: str) -> list[int]:
    """Numbers of builds of a theme that have no plan."""
    return [number for number, (_, best) in enumerate(of_theme(theme)) if best.cost is None]


@pytest.mark.parametrize("which", mostly_long((0, 1)))
@pytest.mark.parametrize("theme", mostly_long(THEMES, 3, first=1))
def test_the_order_of_the_input_does_not_show(theme: str, which: int) -> None:
    dice = Random(theme)
    for number in impossible(theme)[which : which + 1]:
        problem = small_build(Random(f"{theme} {number}"), theme)
        expected = text_of(problem)
        for _ in range(2):
            assert text_of(shuffled(problem, dice)) == expected


def test_the_hash_seed_does_not_show() -> None:
    cases = [(theme, number) for theme in THEMES[::2] for number in impossible(theme)[:1]]
    assert len(cases) > len(THEMES) // 4
    texts = {printed_with(seed, cases) for seed in SEEDS}
    assert len(texts) == 1
    assert "Why" in texts.pop()


def printed_with(seed: str, cases: list[tuple[str, int]]) -> str:
    """What another process prints, its dictionaries hashed with another seed."""
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT.format(cases=cases)],
        env={**os.environ, "PYTHONHASHSEED": seed},
        capture_output=True,
        text=True,
        check=True,
    )
    return done.stdout
