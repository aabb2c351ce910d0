"""Places, what decides, and who is better on nothing: on results made by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slotfit.answers.compare.answer import BoardPlan, BoardTried
from slotfit.answers.compare.verdict import (
    compare_answer,
    difference,
    dominated_by,
    ranked,
    ranks,
    verdict,
)
from slotfit.answers.place.additions import FuturesTaken
from slotfit.answers.place.causes import Contribution
from slotfit.answers.place.left_out import MissingPart
from slotfit.model.plan import StageValue
from tests.choose.invented import build, cards
from tests.render.hand_answer import hand_answer

STAGES = ("dark-endpoints", "bandwidth", "locality", "cooling")


def result(name: str, *stages: int, missing: int = 0, proven: bool = True) -> BoardTried:
    """A board that comes to so much in each preference."""
    return BoardTried(
        name,
        name,
        plan=BoardPlan(
            proven=proven,
            placed=1,
            stages=tuple(
                StageValue(stage, value, value, "")
                for stage, value in zip(STAGES, stages, strict=True)
            ),
            missing=tuple(
                MissingPart(f"card-{n}", "FIT003", "", "slot1 is taken") for n in range(missing)
            ),
            contributions=tuple(
                Contribution(stage, f"{stage}-cause", value, f"because of {stage}")
                for stage, value in zip(STAGES, stages, strict=True)
                if value
            ),
            free=(),
            lanes_left=0,
            power_left_w=None,
            draw_unknown=(),
            futures=None,
            answer=hand_answer(),
        ),
    )


def test_the_first_preference_that_differs_decides() -> None:
    slow, dark = result("slow", 0, 5000, 0, 0), result("dark", 1, 0, 0, 0)
    assert [one.name for one in ranked([dark, slow])] == ["slow", "dark"]
    apart = difference(dark, slow)
    assert apart
    assert (apart.loses, apart.against, apart.stage) == (True, "slow", "dark-endpoints")
    assert (apart.value, apart.against_value, apart.only) == (1, 0, False)
    assert (apart.worse_too, apart.better) == ((), ("bandwidth",))


def test_a_required_part_counts_before_everything() -> None:
    short, full = result("short", 0, 0, 0, 0, missing=1), result("full", 9, 9000, 9, 9)
    assert [one.name for one in ranked([short, full])] == ["full", "short"]


def test_boards_that_tie_share_a_place() -> None:
    three = [result("a", 0, 0, 0, 0), result("b", 0, 0, 1, 0), result("c", 0, 0, 0, 0)]
    assert ranks(three) == {"a": 1, "b": 3, "c": 1}


def test_boards_without_an_answer_come_last_and_have_no_place() -> None:
    some = [
        BoardTried("broken", "broken", mistake="bad.yaml:1:1: no"),
        BoardTried("late", "late"),
        BoardTried("no", "no", impossible=True),
        result("yes", 0, 0, 0, 0),
    ]
    assert [one.name for one in ranked(some)] == ["yes", "no", "late", "broken"]
    assert ranks(some) == {"yes": 1}


BEST = result("best", 0, 1000, 0, 1)

DOMINATED = {
    "worse in one": (result("x", 0, 1000, 1, 1), True),
    "worse in all": (result("x", 1, 2000, 1, 2), True),
    "a tie": (result("x", 0, 1000, 0, 1), False),
    "better in a later one": (result("x", 0, 2000, 0, 0), False),
    "with fewer parts, short of as much": (result("x", 0, 1000, 0, 1, missing=1), True),
    "with fewer parts, short of less": (result("x", 0, 0, 0, 1, missing=1), False),
    "not proven": (result("x", 0, 1000, 1, 1, proven=False), False),
}


@pytest.mark.parametrize(("other", "is_dominated"), DOMINATED.values(), ids=DOMINATED)
def test_only_who_is_better_on_nothing_is_dominated(other: BoardTried, is_dominated: bool) -> None:
    assert dominated_by(other, [BEST, other]) == ("best" if is_dominated else None)
    assert dominated_by(BEST, [BEST, other]) is None


@pytest.mark.parametrize(
    ("own", "others", "is_dominated"),
    [(90.0, 100.0, False), (100.0, 90.0, True), (90.0, None, True), (None, 90.0, True)],
)
def test_a_lower_price_is_something_to_be_better_on(
    own: float | None, others: float | None, is_dominated: bool
) -> None:
    worse = replace(result("x", 0, 1000, 1, 1), price=own)
    best = replace(BEST, price=others)
    assert (dominated_by(worse, [best, worse]) == "best") is is_dominated


def test_so_is_a_future_that_the_other_does_not_take() -> None:
    def with_futures(one: BoardTried, *fits: str) -> BoardTried:
        assert one.plan
        taken = FuturesTaken(fits, (), (), 0.5)
        return replace(one, plan=replace(one.plan, futures=taken))

    worse = result("x", 0, 1000, 1, 1)
    both = [with_futures(BEST, "a"), with_futures(worse, "a", "b")]
    assert dominated_by(both[1], both) is None
    fewer = [with_futures(BEST, "a", "b"), with_futures(worse, "a")]
    assert dominated_by(fewer[1], fewer) == "best"


SAYS = {
    "loses only on locality": (
        [BEST, result("x", 0, 1000, 2, 1)],
        (
            "loses to best only on locality: 2 parts on another processor against none "
            "(because of locality); in no preference better than best"
        ),
    ),
    "better later": (
        [BEST, result("x", 0, 2500, 0, 0)],
        (
            "loses to best on bandwidth: 2.5 GB/s short at full rate against 1.0 "
            "(because of bandwidth); better in cooling, which counts less"
        ),
    ),
    "worse in more": (
        [BEST, result("x", 1, 1000, 1, 1)],
        (
            "loses to best on endpoints not detected: 1 endpoint not detected against none "
            "(because of dark-endpoints); worse in locality too; in no preference better than best"
        ),
    ),
    "a tie": ([BEST, replace(BEST, name="x")], "as good as best in every preference"),
    "parts missing": (
        [BEST, result("x", 0, 0, 0, 0, missing=2)],
        "does not take everything: no place for card-0 and card-1 (slot1 is taken)",
    ),
    "time ran out": (
        [BEST, result("x", 0, 1000, 1, 1, proven=False)],
        (
            "loses to best only on locality: 1 part on another processor against none "
            "(because of locality); time ran out: it may be better than this"
        ),
    ),
    "no plan in time": ([BEST, BoardTried("x", "x")], "time ran out before a plan was found"),
    "no more known": (
        [BEST, BoardTried("x", "x", impossible=True)],
        "does not take everything; time ran out before it was known what it does take",
    ),
    "a mistake": (
        [BEST, BoardTried("x", "x", mistake="x.yaml:1:1: bad\nx.yaml:2:1: worse")],
        "could not be tried: x.yaml:1:1: bad",
    ),
    "alone": ([result("x", 0, 0, 0, 0)], "everything fits"),
    "the best": (
        [result("x", 0, 0, 0, 0), result("y", 0, 0, 1, 0)],
        (
            "best; y loses only on locality: 1 part on another processor against none "
            "(because of locality)"
        ),
    ),
    "the best of two alike": (
        [result("x", 0, 0, 0, 0), result("z", 0, 0, 0, 0), result("y", 0, 0, 1, 0)],
        (
            "best; as good as z in every preference; y loses only on locality: "
            "1 part on another processor against none (because of locality)"
        ),
    ),
}


@pytest.mark.parametrize(("results", "says"), SAYS.values(), ids=SAYS)
def test_the_verdict_says(results: list[BoardTried], says: str) -> None:
    order = ranked(results)
    x = next(one for one in order if one.name == "x")
    assert verdict(x, order) == says


def test_the_deciding_difference_is_told_from_each_side() -> None:
    problem = build(cards("nic"))
    results = [result("x", 0, 2500, 0, 0), BEST]
    best, x = compare_answer(problem, "box", results).plan.boards
    assert best.deciding
    assert x.deciding
    assert (x.deciding.against, x.deciding.value, x.deciding.against_value) == ("best", 2500, 1000)
    assert (best.deciding.against, best.deciding.value) == ("x", 1000)
    assert (x.deciding.better, best.deciding.worse_too) == (("cooling",), ("cooling",))


def test_no_boards_make_an_empty_comparison() -> None:
    assert compare_answer(build(cards("nic")), "box", []).plan.boards == ()
