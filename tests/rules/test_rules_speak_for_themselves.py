"""
What a rule is called and how it words its reasons decides nothing.

With other ids, and with one and the same mumble for every reason and doubt, the answers stay what
they are: plans, doubts, clashes and how their sentences are grouped, and what `check` says of every
receptacle.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import pytest

import slotfit
from slotfit import api
from slotfit.answers.catalog import gaps
from slotfit.answers.no_plan.case import canonical, case_of
from slotfit.answers.no_plan.clash import clash_of
from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import standard_catalog
from slotfit.model import reason
from slotfit.model.problem import Problem
from slotfit.rulebook import BY_ID, RANK, RULES
from slotfit.solve.engine import Clock
from tests.builds import THEMES, small_build
from tests.limits import SECONDS

PACKAGE = Path(slotfit.__file__).parent
ALL_LISTED = {"rules", "rulebook.py"}


def constants(path: Path) -> Iterator[str]:
    """Every text in a module that is no docstring."""
    tree = ast.parse(path.read_text("utf-8"))
    docs = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and id(node) not in docs and isinstance(node.value, str):
            yield node.value


def test_no_other_module_names_a_rule() -> None:
    found = {
        f"{path.relative_to(PACKAGE)}: {rule.id}"
        for path in PACKAGE.rglob("*.py")
        if path.relative_to(PACKAGE).parts[0] not in ALL_LISTED
        for text in constants(path)
        for rule in RULES
        if rule.id in text
    }
    assert found == set()


@cache
def builds() -> tuple[Problem, ...]:
    """Small builds of every theme; most of one in three has no plan."""
    return tuple(
        small_build(Random(f"speaking {theme} {number}"), theme)
        for theme in THEMES
        for number in range(1)
    )


def plan_of(problem: Problem) -> Any:
    """The plan in values: what sits where, under which arrangement, resting on what."""
    plan = best_plan(problem, SECONDS).plan
    return plan and (
        sorted((seat.part, seat.receptacle, seat.arrangements, seat.links) for seat in plan.seats),
        plan.arrangements,
        sorted(fact.id for fact in plan.facts),
        plan.stages,
    )


def clash_in(problem: Problem) -> Any:
    """The clash in values: which reasons are one sentence, and what they leave to whom."""
    clash, _ = clash_of(case_of(canonical(problem)), Clock(SECONDS))
    return clash and (
        [(len(one.reasons), one.says.where, one.refuses) for one in clash.sentences],
        clash.left,
        clash.sums,
    )


def ways_out(problem: Problem) -> Any:
    """Ways out in values: what to write, and where things go then."""
    explained = api.explain(problem, ways=3, seconds=SECONDS)
    return [
        ([(step.kind, step.write) for step in way.steps], plan_of(way.placed.problem))
        for way in explained.found.ways
    ]


def told(problem: Problem) -> Any:
    """A build's plan, or why there is none."""
    return plan_of(problem) or clash_in(problem)


@pytest.fixture(scope="module")
def as_ever() -> list[Any]:
    """What is told of the builds with rules as they are."""
    found = [told(problem) for problem in builds()]
    clashes = [one for one in found if one[0] and isinstance(one[0][0][0], int)]
    assert len(clashes) > 2, "some have no plan"
    return found


def test_rules_of_other_names_give_the_same_answers(
    as_ever: list[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    stuck = [problem for problem in builds() if plan_of(problem) is None]
    ways = [ways_out(problem) for problem in stuck]
    assert any(ways)
    dice = Random("other names")
    ids = {rule.id: f"r{dice.randrange(10**9)}" for rule in RULES}
    by_id, rank = {ids[name]: rule for name, rule in BY_ID.items()}, dict(RANK)
    for mapping in (BY_ID, RANK):
        for name in ids:
            monkeypatch.delitem(mapping, name)
    for name, new in ids.items():
        monkeypatch.setitem(BY_ID, new, by_id[new])
        monkeypatch.setitem(RANK, new, rank[name])
    old = {rule: rule.id for rule in RULES}
    gaps.asked_of.cache_clear()
    try:
        for rule, name in old.items():
            object.__setattr__(rule, "id", ids[name])
        assert [told(problem) for problem in builds()] == as_ever
        assert [ways_out(problem) for problem in stuck] == ways
    finally:
        for rule, name in old.items():
            object.__setattr__(rule, "id", name)
        gaps.asked_of.cache_clear()


def test_rules_of_other_words_give_the_same_answers(
    as_ever: list[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    stuck = [problem for problem in builds() if plan_of(problem) is None]
    ways = [ways_out(problem) for problem in stuck]
    assert any(ways)
    monkeypatch.setattr(reason, "filled", lambda *_: "mumble")
    assert [told(problem) for problem in builds()] == as_ever
    assert [ways_out(problem) for problem in stuck] == ways


SOCKETS = """
kind: build
id: shelf
machines:
  - id: tower
    board:
      kind: board
      id: two-slots
      processors: [{id: cpu0}]
      rows: [{id: rear, positions: 2}]
      receptacles:
        - {id: slot1, form: cem, width: 8, lanes: 8, generation: 3, splits: [], row: rear}
        - {id: slot2, form: cem, width: 8, lanes: 8, generation: 3, splits: [], row: rear,
           position: 1}
parts:
"""

ADAPTER = (
    "{kind: part, id: adapter, class: host-bus-adapter, plug: cem x4, links: x4, generation: 3, "
    "thickness: 1}"
)


def test_a_part_called_as_a_word_is_no_part_of_a_sentence() -> None:
    """Four adapters for two slots: any three clash, and each is named once."""
    names = ("a1", "placed", "b1", "c1")
    parts = "".join(f"  - {{id: {name}, part: {ADAPTER}}}\n" for name in names)
    problem = load_build_text(SOCKETS + parts, standard_catalog())
    (clash, *_) = api.explain(problem, ways=0, seconds=SECONDS).clashes
    must = clash.sentences[0]
    assert must.says.text == "a1, b1 and c1 must be placed"
    assert len(must.reasons) == 3
