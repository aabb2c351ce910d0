"""As much of a build as fits: held against a look at every plan."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slotfit.answers.place.causes import contributions
from slotfit.answers.place.left_out import all_optional, heaviest, place_most
from slotfit.model.plan import Status
from tests.builds import THEMES, small_build
from tests.choose.invented import ONE_PROCESSOR, TWO_SLOTS, build, cards, demo
from tests.limits import SECONDS, mostly_long
from tests.oracle import best


@pytest.mark.parametrize("number", mostly_long(range(4), 4))
@pytest.mark.parametrize("theme", THEMES)
def test_no_fewer_can_be_left_out(theme: str, number: int) -> None:
    """The oracle looks at every plan of the same build with nothing required."""
    problem = small_build(Random(f"left out {theme} {number}"), theme)
    most = place_most(problem, SECONDS)
    loose = all_optional(problem)
    own = [one.item for one in most.missing]
    fewest = best(loose)
    assert fewest.cost is not None
    assert fewest.cost[0] // heaviest(problem) == len(own)
    assert most.placed.status is Status.PROVEN
    plan = most.placed.plan
    assert plan is not None
    seated = {seat.part for seat in plan.seats}
    required = {i.id for i in problem.parts if i.wish.required and not i.companion_of}
    assert required - seated == set(own)


@given(theme=st.sampled_from(THEMES), seed=st.integers(0, 10**6))
def test_causes_add_up_to_what_each_preference_comes_to(theme: str, seed: int) -> None:
    most = place_most(small_build(Random(f"causes {theme} {seed}"), theme), SECONDS)
    plan = most.placed.plan
    assert plan is not None
    causes = [*contributions(most.placed, plan)]
    for stage in plan.stages:
        if stage.stage not in ("moves", "reserve", "spare-lanes"):
            told = sum(one.amount for one in causes if one.stage == stage.stage)
            assert told == stage.value, stage.stage


CLOSED_X8 = ONE_PROCESSOR.replace("width: 16", "width: 8").replace("lanes: 16", "lanes: 8")

BIG = """  - id: accel
    part: {id: accel-x16, plug: cem x16, links: x16, generation: 4, thickness: 2, length_mm: 200,
           height_mm: 110, bracket: full, power: {slot_w: 50}, demand: 5}"""


@pytest.mark.parametrize(
    ("parts", "board", "missing"),
    [
        (
            cards("a", "b", "c"),
            TWO_SLOTS,
            {"c": "no suitable slot is free: slot1 (a) and slot2 (b) are taken or covered"},
        ),
        (
            BIG,
            CLOSED_X8,
            {
                "accel": "a: accel has an x16 connector and a is a closed x8 slot",
            },
        ),
        (
            "  - {id: disk, part: nvme-u2-gen4}",
            TWO_SLOTS,
            {"disk": "no receptacle takes a plug of form u2"},
        ),
    ],
)
def test_what_stands_in_the_way(parts: str, board: str, missing: dict[str, str]) -> None:
    most = place_most(build(parts, board), SECONDS)
    assert {one.item: one.why for one in most.missing} == missing


def test_a_supply_that_is_too_small_is_named() -> None:
    supply = "    power_supply: {id: small-supply, watts: 90}\n    base_w: 60\n"
    most = place_most(build(cards("a", "b"), machine=supply), SECONDS)
    (only,) = most.missing
    assert only.rule == "POW003"
    assert "small-supply has 30 W left" in only.why


def test_a_board_too_big_for_the_chassis_takes_nothing_and_says_so() -> None:
    chassis = "    chassis: {id: cube, sizes: [mini-itx], openings: 2}\n"
    most = place_most(build(cards("a", "b"), machine=chassis), SECONDS)
    reason = "two-slots is of size atx and cube has stand-offs for mini-itx"
    assert {(one.rule, one.why) for one in most.missing} == {("FIT013", reason)}
    assert [one.item for one in most.missing] == ["a", "b"]


def test_with_one_plug_of_a_part_the_whole_part_goes() -> None:
    parts = f"  - {{id: exp, part: sas-expander-24-sas3}}\n{cards('nic')}\n"
    most = place_most(build(parts), SECONDS)
    (only,) = most.missing
    assert only.item == "exp"
    assert only.why == "no receptacle takes a plug of form sff-8643"


def test_the_demo_needs_nothing_left_out() -> None:
    assert place_most(demo(), SECONDS).missing == ()


def test_a_guest_without_a_seat_casts_no_doubt_on_the_host() -> None:
    """Of slot1 it is not said which group it is in: beside a guest's part that would be a doubt."""
    known = TWO_SLOTS.replace("id: slot2,", "id: slot2, isolation: two,")
    guest = "  - {id: guest, part: nvme-u2-gen4, guest: red}"
    most = place_most(build(f"{cards('host')}\n{guest}", known), SECONDS)
    assert [one.item for one in most.missing] == ["guest"]
    assert most.placed.plan
    assert [seat.receptacle for seat in most.placed.plan.seats] == ["slot1"]
    assert not any("isolation" in fact.label for fact in most.placed.plan.facts)


@pytest.mark.long
@pytest.mark.parametrize("number", range(10))
def test_guests_without_a_seat_cast_none_on_random_builds(number: int) -> None:
    """The referee looks at the build without them: it raises if it sees other facts."""
    for seed in range(30 * number, 30 * number + 30):
        problem = small_build(Random(f"left out guests {seed}"), "guests")
        assert place_most(problem, SECONDS).placed.status is Status.PROVEN
