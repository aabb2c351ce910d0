"""What is taken for today's settings is told as the line to write, and writing it is enough."""

from __future__ import annotations

import re
from dataclasses import replace
from random import Random

import pytest
import yaml

from slotfit.answers.sequence.answer import SequenceAnswer
from slotfit.answers.sequence.plan import sequence
from slotfit.errors import InputError
from slotfit.model.problem import Problem
from tests.limits import SECONDS, mostly_long
from tests.sequence.dice import rebuild
from tests.sequence.rebuilds import LIGHTHOUSE, example


def line_to_write(answer: SequenceAnswer) -> dict[str, str]:
    """The mapping that the advice shows; empty where nothing is taken for granted."""
    notes = " ".join(answer.watch.taken_for_granted)
    shown = re.findall(r"write below `sequence`: settings_today: (\{[^}]*\})", notes)
    return dict(yaml.safe_load(shown[0])) if shown else {}


def with_it(problem: Problem, line: dict[str, str]) -> Problem:
    asked = problem.sequence.model_copy(update={"settings_today": line})
    return replace(problem, on_the_way=asked)


def assert_enough(problem: Problem) -> bool:
    """Whether there was anything to write."""
    before = sequence(problem, seconds=SECONDS)
    line = line_to_write(before)
    assert bool(line) == any("today's settings" in one for one in before.watch.taken_for_granted)
    if not line:
        return False
    assert problem.sequence.settings_today.items() <= line.items()
    after = sequence(with_it(problem, line), seconds=SECONDS)
    assert line_to_write(after) == {}
    assert after.verdict.status == before.verdict.status
    # The goal keeps settings that are known, so that fewer of them may change.
    assert len(after.plan.windows) == len(before.plan.windows)
    return True


@pytest.mark.long
def test_the_example_shows_the_line() -> None:
    assert assert_enough(example(LIGHTHOUSE))


@pytest.mark.parametrize("seed", mostly_long(range(60), 10))
def test_any_rebuild_shows_the_line(seed: int) -> None:
    problem = rebuild(Random(f"settings advice {seed}"))
    try:
        assert_enough(problem)
    except InputError:
        return  # today's layout cannot be by the rules of hardware
