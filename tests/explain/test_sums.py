"""The sum under a clash over a row: what it counts can go nowhere else."""

from __future__ import annotations

from pathlib import Path

from slotfit.answers.no_plan.case import canonical, case_of
from slotfit.answers.no_plan.clash import clash_of
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import standard_catalog
from slotfit.model.problem import Problem
from slotfit.solve.engine import Clock
from tests.limits import SECONDS
from tests.rules.tables import problem_of

ROOT = Path(__file__).parents[2]


def row_of(thick: dict[str, int], slots: int) -> Problem:
    """Cards of these thicknesses for a row of so many slots side by side, none beyond the last."""
    parts = {name: {"thickness": number} for name, number in thick.items()}
    receptacles = {f"slot{n + 1}": {"row": "rear", "position": n} for n in range(1, slots)}
    return problem_of({"parts": parts, "receptacles": receptacles, "chassis": {"openings": slots}})


def sums_of(problem: Problem) -> tuple[str, ...]:
    """What is told under the clash."""
    clash, _ = clash_of(case_of(canonical(problem)), Clock(SECONDS))
    assert clash is not None
    return clash.sums


def test_the_sum_of_a_full_row() -> None:
    (said,) = sums_of(row_of({"a": 2, "b": 2, "c": 1}, 4))
    assert said == "3 parts, 5 slots thick together, for the 4 places slot1 to slot4"


def test_a_card_that_reaches_beyond_the_places_is_not_summed() -> None:
    """Each of the two takes slot2 and one place more, of which the clash says nothing."""
    assert sums_of(row_of({"a": 2, "b": 2, "c": 1}, 3)) == ()


def test_a_card_that_may_go_beside_the_places_is_not_summed() -> None:
    """A slot that has no lanes while a thick card is in the one beside it: neither is counted."""
    demo = ROOT / "examples/demo"
    once = (demo / "build.yaml").read_text("utf-8")
    twice = once.replace("part: nic-10g-2p}", "part: nic-10g-2p, count: 2}")
    assert twice != once
    assert sums_of(load_build_text(twice, standard_catalog(), beside=demo)) == ()
