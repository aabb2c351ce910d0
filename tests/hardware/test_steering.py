"""
What draws lanes to itself by being filled.

The wiring behind it: presence contacts switch lanes from one slot to another (board manuals, as
quoted); which division a board has while nothing is plugged in is the one that serves least.
"""

from __future__ import annotations

from slotfit.hardware.training import calls_for, drawing, may_be_empty
from slotfit.model.board import Arrangement, LaneGroup


def way(name: str, chosen_by: str = "presence", **gives: tuple[int, ...]) -> Arrangement:
    return Arrangement.model_validate({"id": name, "gives": gives, "chosen_by": chosen_by})


def group(*ways: Arrangement) -> LaneGroup:
    return LaneGroup.model_validate(
        {"id": "group", "from": "cpu0", "generation": 4, "arrangements": ways}
    )


def test_a_card_in_the_second_slot_draws_its_half() -> None:
    alone, both = way("alone", "fixed", slot1=(16,)), way("both", slot1=(8,), slot2=(8,))
    assert drawing(group(alone, both)) == {"both": ["slot2"]}


def test_the_order_in_the_file_does_not_matter() -> None:
    alone, both = way("alone", slot1=(16,)), way("both", slot1=(8,), slot2=(8,))
    assert drawing(group(both, alone)) == {"both": ["slot2"], "alone": []}


def test_no_lanes_written_out_are_no_lanes() -> None:
    alone, both = way("alone", slot1=(16,), slot2=()), way("both", slot1=(8,), slot2=(8,))
    assert drawing(group(both, alone)) == {"both": ["slot2"], "alone": []}


def test_three_slots_fill_one_after_the_other() -> None:
    one = way("one", slot1=(16,))
    two = way("two", slot1=(8,), slot2=(8,))
    three = way("three", slot1=(8,), slot2=(4,), slot3=(4,))
    expected = {"three": ["slot2", "slot3"], "two": ["slot2"], "one": []}
    assert drawing(group(three, two, one)) == expected


def test_a_setting_draws_nothing() -> None:
    whole, halves = way("whole", "setting", slot1=(16,)), way("halves", "setting", slot1=(8, 8))
    assert drawing(group(whole, halves)) == {}


def test_what_is_filled_is_the_row_that_names_it_or_nobody_knows() -> None:
    """Three slots: {2} and {2, 3} have a row each; {3} has none, so slot 2 may be empty there."""
    one = way("one", slot1=(16,))
    two = way("two", slot1=(8,), slot2=(8,))
    three = way("three", slot1=(8,), slot2=(4,), slot3=(4,))
    nested = group(one, two, three)
    assert calls_for(nested) == {"one": [], "two": [["slot2"]], "three": [["slot3"]]}
    assert [may_be_empty(nested, one) for one in (one, two, three)] == [[], [], ["slot2"]]


def test_with_a_row_for_each_filling_nothing_may_be_empty() -> None:
    ways = (
        way("one", slot1=(16,)),
        way("two", slot1=(8,), slot2=(8,)),
        way("last", slot1=(8,), slot3=(8,)),
        way("three", slot1=(8,), slot2=(4,), slot3=(4,)),
    )
    assert calls_for(group(*ways))["three"] == [["slot2"], ["slot3"]]
    assert not any(may_be_empty(group(*ways), one) for one in ways)
