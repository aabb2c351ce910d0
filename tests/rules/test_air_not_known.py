"""A fact about air that is forgotten makes an answer less certain, and never another one."""

from __future__ import annotations

from random import Random

import pytest

from tests.builds import small_build
from tests.rules.forgotten import facts_of
from tests.rules.test_unknown_facts import no_is_no, yes_is_yes

FIELDS = (
    *("airflow_lfm", "airflow_at_c", "modules_w", "bay_airflow_lfm", "inlet_c"),
    *("gives_airflow_lfm", "pins", "min_rpm", "lowest_fan_rpm"),
)


@pytest.mark.parametrize(
    "number", [1, 2, *(pytest.param(n, marks=pytest.mark.long) for n in range(3, 20))]
)
def test_air_that_is_not_known_is_neither_enough_nor_too_little(number: int) -> None:
    problem = small_build(Random(f"air forgotten {number}"), "air")
    for fact in facts_of(problem):
        if fact.name.rpartition(".")[2] in FIELDS:
            assert no_is_no(fact) + yes_is_yes(fact) == []
