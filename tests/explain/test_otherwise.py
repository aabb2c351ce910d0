"""The best plan if a part is to go elsewhere, or if a fact it rests on is false."""

from __future__ import annotations

from pathlib import Path

import pytest

from slotfit.answers.no_plan.choices import elsewhere, if_false, moved
from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.plan import Placed, Status
from tests.builds import THEMES
from tests.explain.test_equal_plans import with_plans
from tests.limits import SECONDS, mostly_long
from tests.oracle import best

OF_A_THEME = 3

BOARD = """
    id: board
    processors: [{id: cpu0}]
    rows: [{id: row, positions: 2}]
    receptacles:
      - {id: slot1, form: cem, width: 16, row: row, position: 0, from: cpu0, generation: 4,
         lanes: 16, power_w: 75, splits: [x16, {split: x4x4x4x4, proof: menu-only}]}
      - {id: slot2, form: cem, width: 16, row: row, position: 1, from: cpu0, generation: 4,
         lanes: 8, power_w: 75, splits: [x8, x4x4]}
"""
CARRIER = """{id: carrier, class: carrier, plug: cem x16, links: 4x4, generation: 4, thickness: 1,
    length_mm: 200, height_mm: 111.15, bracket: full, power: {slot_w: 2},
    receptacles: [{id: a, form: m2-m, power_w: 9}, {id: b, form: m2-m, power_w: 9},
                  {id: c, form: m2-m, power_w: 9}, {id: d, form: m2-m, power_w: 9}]}"""


def built(parts: str) -> Placed:
    text = f"id: box\nmachines:\n- id: box\n  board:{BOARD}\nparts:\n{parts}"
    return best_plan(load_build_text(text, Catalog(()), beside=Path()), SECONDS)


def test_a_split_only_in_the_menu_is_replaced_by_the_one_that_is_documented() -> None:
    """x4x4x4x4 in slot1 is only in the menu; without it slot2's x4x4 shows two of four."""
    found = built(f"- {{id: scans, part: {CARRIER}}}")
    assert found.plan is not None
    assert [(seat.part, seat.receptacle) for seat in found.plan.seats] == [("scans", "slot1")]
    ((fact, other),) = if_false(found, SECONDS)
    assert "slot1" in fact.statement
    assert other.status is Status.PROVEN
    assert other.plan is not None
    assert [(seat.part, seat.receptacle) for seat in other.plan.seats] == [("scans", "slot2")]
    assert other.plan.facts == ()
    assert [(m.item, m.was, m.now) for m in moved(found, other)] == [("scans", "slot1", "slot2")]
    dark = {stage.stage: stage.value for stage in other.plan.stages}["dark-endpoints"]
    assert dark == 2


def test_where_no_plan_is_left_it_says_so() -> None:
    found = built(f"- {{id: scans, part: {CARRIER}, endpoints: 4}}")
    ((_, other),) = if_false(found, SECONDS)
    assert other.status is Status.IMPOSSIBLE
    assert moved(found, other) == ()


def test_a_fact_false_of_a_part_is_false_of_those_alike() -> None:
    """Nobody says how long the cards are; what is so of one is so of the other."""
    card = "{id: card, class: network-card, plug: cem x8, links: x8, generation: 3}"
    found = built(f"- {{id: nic, part: {card}, count: 2}}")
    assert found.plan is not None
    by_id = {fact.label: other for fact, other in if_false(found, SECONDS)}
    thick = next(other for name, other in by_id.items() if name.startswith("card: one slot"))
    assert thick.status is Status.IMPOSSIBLE


@pytest.mark.parametrize("theme", mostly_long(THEMES, 3))
def test_the_judge_finds_no_better_plan_with_the_part_elsewhere(theme: str) -> None:
    for found, first in [*with_plans(theme)][:OF_A_THEME]:
        plan = found.plan
        assert plan is not None
        for seat in plan.seats[:1]:
            told = elsewhere(found, seat.part, SECONDS)
            assert told is not None
            other = told.plan
            expected = best(told.problem)
            if other is None:
                assert expected.cost is None
                continue
            assert tuple(stage.value for stage in other.stages) == expected.cost
            assert first.cost is not None
            assert expected.cost is not None
            assert expected.cost >= first.cost
            assert all(
                (one.part, one.receptacle) != (seat.part, seat.receptacle) for one in other.seats
            )


@pytest.mark.parametrize("theme", ["unknown", "lanes", "order", "air", "guests"])
def test_a_plan_without_a_fact_does_not_rest_on_it_and_is_no_better(theme: str) -> None:
    looked_at = 0
    for found, first in with_plans(theme):
        for fact, other in if_false(found, SECONDS):
            plan = other.plan
            if plan is not None:
                looked_at += 1
                assert fact.id not in {one.id for one in plan.facts}
                assert first.cost is not None
                assert tuple(stage.value for stage in plan.stages) >= first.cost
    assert looked_at or theme != "unknown"
