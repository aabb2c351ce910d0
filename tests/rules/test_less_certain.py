"""
Whatever a working build does not say makes its answer less certain, and never another one.

Each fact of the builds at the bench and of the examples is left out, one at a time. A yes stays a
yes or rests on something; what rests on something does so still; a no stays one, or rests on it.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from random import Random
from typing import Literal

import pytest

from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from tests.bench import test_isolation as isolation
from tests.bench import test_processor as processor
from tests.limits import SECONDS
from tests.rules import test_air_at_the_bench as air
from tests.rules import test_bench_power as power
from tests.rules import test_connectors_in_practice as connectors
from tests.rules import test_supplies_in_practice as supplies
from tests.rules.forgotten import Forgotten, facts_of
from tests.rules.tables import problem_of

ROOT = Path(__file__).parents[2]

Certainty = Literal["yes", "if", "no"]


def bench() -> Iterator[tuple[str, Problem]]:
    """The builds of tests/cases/bench, each as its own test reads it."""
    for name, case in power.CASES.items():
        yield (
            name,
            problem_of({k: v for k, v in case.items() if k not in ("ground", "answer", "about")}),
        )
    for name, case in air.cases().items():
        yield name, problem_of({key: case[key] for key in case if key not in air.TOLD})
    for name, case in supplies.cases().items():
        yield name, supplies.problem_in(case)
    for name, case in connectors.table().items():
        yield name, connectors.problem_of(case)
    for name, case in isolation.table()["cases"].items():
        yield name, isolation.built(case)
    for name, case in processor.table()["cases"].items():
        yield name, processor.built(case)


def examples() -> Iterator[tuple[str, Problem]]:
    """The builds of examples."""
    for path in sorted((ROOT / "examples").glob("*/build.yaml")):
        yield path.parent.name, load(path)


@cache
def builds() -> dict[str, Problem]:
    return dict(bench())


def certainty(problem: Problem) -> Certainty:
    """What place comes to."""
    found = best_plan(problem, SECONDS)
    assert found.status in (Status.PROVEN, Status.IMPOSSIBLE)
    if found.plan is None:
        return "no"
    return "if" if found.plan.facts else "yes"


LESS: dict[Certainty, tuple[Certainty, ...]] = {
    "yes": ("yes", "if"),
    "if": ("if",),
    "no": ("no", "if"),
}


def other_answers(problem: Problem, facts: list[Forgotten]) -> list[str]:
    """Facts without which the answer is another one."""
    whole = certainty(problem)
    without = ((one.name, certainty(one.unknown)) for one in facts)
    return [
        f"{whole}, and {less} without {name}" for name, less in without if less not in LESS[whole]
    ]


NOT_ASKED = {
    "power": "asked where watts are counted; lint names a part without `power`",
    "airflow_lfm": "of drives, makers speak where it matters: asked where no air moves at all",
    "cooling": "the same",
    "power_disable": "few drives know it: asked where 3.3 V are known to be on that contact",
    "cables": "a cable for disks bears the disks that go into its plugs",
}
"""Fields that nobody asks for, though an answer may depend on them, and why."""


def asked_for(problem: Problem) -> list[Forgotten]:
    """Facts of a build, those apart that nobody asks for."""
    return [one for one in facts_of(problem) if one.name.rpartition(".")[2] not in NOT_ASKED]


QUICK = 16
"""Builds of the bench that the quick run looks at, with a few facts each."""


def some(name: str, count: int) -> tuple[Problem, list[Forgotten]]:
    problem = builds()[name]
    facts = asked_for(problem)
    return problem, Random(f"less certain {name}").sample(facts, min(count, len(facts)))


@pytest.mark.parametrize("name", Random("less certain").sample(sorted(builds()), QUICK))
def test_a_build_that_says_less_is_answered_with_less_certainty(name: str) -> None:
    assert other_answers(*some(name, 3)) == []


@pytest.mark.long
@pytest.mark.parametrize("name", builds())
def test_without_more_of_its_facts_a_build_is_answered_with_less_certainty(name: str) -> None:
    assert other_answers(*some(name, 4)) == []


@pytest.mark.long
@pytest.mark.parametrize("name", dict(examples()))
def test_an_example_that_says_less_is_answered_with_less_certainty(name: str) -> None:
    problem = dict(examples())[name]
    facts = asked_for(problem)
    sample = Random(f"less certain {name}").sample(facts, min(3, len(facts)))
    assert other_answers(problem, sample) == []


@pytest.mark.parametrize(("name", "most"), [("demo", 1), ("sequence-lighthouse", 0)])
def test_examples_rest_on_few_facts(name: str, most: int) -> None:
    """A demonstration that says what a careful person would look up is mostly certain."""
    plan = best_plan(dict(examples())[name], SECONDS).plan
    assert plan is not None
    assert len(plan.facts) == most


def test_the_cables_of_a_supply_are_one_fact_and_one_field_settles_it() -> None:
    problem = dict(examples())["sequence-lighthouse"]
    (unknown,) = [one.unknown for one in facts_of(problem) if one.name == "lamp-supply.cables"]
    plan = best_plan(unknown, SECONDS).plan
    assert plan is not None
    assert [fact.label for fact in plan.facts] == [
        "lamp-supply: what its cables with several plugs carry"
    ]
