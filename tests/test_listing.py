"""Names in a sentence, whatever stands in them."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from slotfit.listing import in_short, listed

# Digits of every kind that Unicode has, and far more of them than a number has.
ODD = st.text(alphabet="a7²٣①-", max_size=6) | st.integers(1, 5000).map(lambda size: "7" * size)


@given(st.lists(ODD, max_size=5))
def test_any_names_can_be_listed(names: list[str]) -> None:
    assert {*names} == {""} or bool(listed(names)) == bool(names)
    assert in_short(names).count(", ") <= max(len(names) - 1, 0)


def test_a_run_is_shortened_and_counts_as_people_do() -> None:
    assert listed(["slot10", "slot9", "slot8", "m2_1"]) == "m2_1 and slot8 to slot10"
