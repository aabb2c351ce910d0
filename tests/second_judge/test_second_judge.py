"""
A stranger who knows slotfit from its pages alone finds the same figures and the same plan.

Figures are worked out as docs/explanation/preferences.md and lanes.md tell; plans of small builds
are all looked at, and the one that the pages name is the one that slotfit gives.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import pytest
import yaml

from slotfit import api
from tests.second_judge import flows, stages
from tests.second_judge.answers import answer_to, figures_in, plan_in
from tests.second_judge.build import Build, build_of
from tests.second_judge.links import Plan, Segment
from tests.second_judge.plans import Judge
from tests.second_judge.small import small_text
from tests.second_judge.written import drawn_text
from tests.yardstick.drawn import drawn

BLOCK = 100

WIDE = 24
SMALL = 36

Said = Mapping[str, Any]


def judged(text: str) -> tuple[Build, Said]:
    return build_of(yaml.load(text, yaml.CSafeLoader)), answer_to(text)


def loadable(text_of: Callable[[int], str], first: int) -> Iterator[tuple[Build, Said]]:
    """
    A block of builds; random ones that contradict themselves are none.

    Nor are those with divisions that need a class of processor or a firmware: this judge has but
    one of each.
    """
    found = 0
    for number in range(first, first + BLOCK):
        text = text_of(number)
        if "needs:" in text or '"needs"' in text:
            continue
        try:
            one = judged(text)
        except api.InputError:
            continue
        found += 1
        yield one
    assert found > BLOCK // 2


# --- what a plan comes to ----------------------------------------------------


def assert_figures_are_as_worked_out(build: Build, answer: Said) -> None:
    plan = plan_in(build, answer)
    told = figures_in(answer)
    assert list(told) == list(build.stages)
    worked_out = {name: stages.JUDGED[name](plan) for name in told if name != "unproven-facts"}
    if "unproven-facts" in told:
        worked_out["unproven-facts"] = len(answer["watch"]["rests_on"])
    assert told == worked_out


def assert_links_are_as_worked_out(plan: Plan, answer: Said) -> None:
    lost = flows.own_loss(plan, flows.all_it_can)
    for seat in answer["plan"]["seats"]:
        told = [
            (link["trains"]["lanes"], link["trains"]["generation"], link["mb_s"])
            for link in seat["links"]
        ]
        trained = [(one.lanes, one.generation, one.mb_s) for one in plan.trained(seat["item"])]
        assert [one for one in told if one[0]] == [one for one in trained if one[0]]
        assert seat["short_mb_s"] == lost[seat["item"]]
        assert seat["far"] == stages.far(plan, seat["item"])


def assert_shared_links_are_as_worked_out(plan: Plan, answer: Said) -> None:
    found = flows.shared_links(plan, flows.all_it_can).values()
    worked_out = sorted((one.capacity, *one.arrives, one.missing) for one in found)
    told = sorted(
        (one["capacity_mb_s"], one["in_mb_s"], one["out_mb_s"], one["lost_mb_s"])
        for one in answer["watch"]["shared"]
    )
    assert told == worked_out


def assert_all_is_as_worked_out(build: Build, answer: Said) -> None:
    if answer["verdict"]["status"] == "impossible":
        return
    plan = plan_in(build, answer)
    assert_figures_are_as_worked_out(build, answer)
    assert_links_are_as_worked_out(plan, answer)
    assert_shared_links_are_as_worked_out(plan, answer)


@pytest.mark.parametrize("number", range(WIDE))
def test_each_stage_is_what_the_pages_work_out(number: int) -> None:
    assert_all_is_as_worked_out(*judged(drawn(number)))


@pytest.mark.long
@pytest.mark.parametrize("text_of", [drawn, drawn_text])
@pytest.mark.parametrize("block", range(3))
def test_each_stage_is_what_the_pages_work_out_at_length(
    text_of: Callable[[int], str], block: int
) -> None:
    for build, answer in loadable(text_of, block * BLOCK):
        assert_all_is_as_worked_out(build, answer)


# --- which plan --------------------------------------------------------------


def assert_it_is_the_plan_that_the_pages_name(build: Build, answer: Said) -> None:
    judge = Judge(build)
    first = judge.first()
    assert (answer["verdict"]["status"] == "impossible") == (first is None)
    if first is None:
        return
    assert figures_in(answer) == {name: judge.figure(name, first) for name in build.stages}
    plan = plan_in(build, answer)
    assert plan.seats == first.plan.seats
    if plan.seats:  # without any, tests/second_judge/test_at_odds.py tells what is amiss
        assert given(plan) == given(first.plan)


def given(plan: Plan) -> dict[str, tuple[Segment, ...]]:
    """What arrives at the boards' receptacles."""
    return {name: plan.arriving(name) for name, site in plan.build.sites.items() if not site.part}


@pytest.mark.parametrize("number", range(SMALL))
def test_the_plan_is_the_one_that_the_pages_name(number: int) -> None:
    build, answer = judged(small_text(number))
    assert_it_is_the_plan_that_the_pages_name(build, answer)
    assert_all_is_as_worked_out(build, answer)


@pytest.mark.long
@pytest.mark.parametrize("block", range(6))
def test_the_plan_is_the_one_that_the_pages_name_at_length(block: int) -> None:
    for build, answer in loadable(small_text, block * BLOCK):
        assert_it_is_the_plan_that_the_pages_name(build, answer)
        assert_all_is_as_worked_out(build, answer)
