"""
Answers to about 300 builds are what they were, compared as values.

Whoever changes answers on purpose runs `pytest --update tests/yardstick`, which records all of them
anew and prints how many changed in which field.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache

import pytest

from tests.yardstick.answers import Values
from tests.yardstick.builds import builds
from tests.yardstick.record import FILE, answered, changed, recorded, rewritten, told

FEW = (
    "example-demo",
    "example-infeasible-lanes",
    "example-sequence-lighthouse",
    *[name for name in builds() if name.startswith("hard-")][::9],
    *(f"drawn-{seed}" for seed in range(75, 105)),
)
"""Of every theme two, and some of the others: quick ones."""

MANY = tuple(name for name in builds() if name not in FEW)


@cache
def first_answers(name: str) -> Values:
    return answered(name)


def compare(name: str) -> None:
    """Today's answers to a build are those recorded."""
    kept, now = recorded()[name], first_answers(name)
    fields = changed(kept, now)
    if fields:
        pytest.fail("\n".join(told(name, field, kept, now) for field in fields), pytrace=False)


def test_the_record_is_values_about_builds_of_every_kind(
    request: pytest.FixtureRequest, record_property: Callable[[str, object], None]
) -> None:
    if request.config.getoption("--update"):
        record_property("yardstick", rewritten())
    record, text = recorded(), FILE.read_text("utf-8")
    assert set(record) == set(builds())
    assert len(text) < 1_500_000
    assert text.count("\n") == len(record) + 2
    assert " " not in text, "wording"
    assert not re.search(r"\b[A-Z]{3,4}\d{3}\b", text), "a rule's id"
    every = record.values()
    assert sum("clash" in one for one in every) > 90
    assert sum(bool(one["plan"].get("facts")) for one in every) > 50
    assert sum("windows" in one.get("sequence", {}) for one in every) > 30
    assert sum("helps" in one.get("sequence", {}) for one in every) > 5


@pytest.mark.parametrize("name", FEW)
def test_answers_are_those_recorded(name: str) -> None:
    compare(name)


def test_the_same_is_answered_again_whatever_was_asked_before() -> None:
    assert [name for name in reversed(FEW[::3]) if answered(name) != first_answers(name)] == []


@pytest.mark.long
@pytest.mark.parametrize("name", MANY)
def test_all_other_answers_are_those_recorded(name: str) -> None:
    compare(name)
