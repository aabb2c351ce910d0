"""What went wrong is said first, and once: a machine as planned, and the same after a change."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from slotfit.answers.verify.answer import Finding, VerifyAnswer
from slotfit.answers.verify.verdict import verify_text
from tests.verify.changes import changed_machine, changed_plan
from tests.verify.fen import document, held

CASES: list[dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parents[1] / "cases/verify.yaml").read_text("utf-8")
)


def test_there_are_enough_cases_and_no_name_twice() -> None:
    assert len({case["case"] for case in CASES}) == len(CASES) >= 40


def first_of(answer: VerifyAnswer) -> Finding | None:
    found = (*answer.do.faults, *answer.watch.open, *answer.more.no_fault)
    return found[0] if found else None


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["case"])
def test_the_right_cause_comes_first_and_once(case: dict[str, Any]) -> None:
    answer = held(changed_machine(case), changed_plan(case))
    first = first_of(answer)
    if case["finding"] == "none":
        assert first is None
        return
    assert first
    weight = case.get("weight", "fault")
    causes = [one.cause for one in first.causes]
    expected = [case["cause"]] if "cause" in case else []
    assert (first.kind, first.weight, causes[:1]) == (case["finding"], weight, expected)
    assert len(answer.do.faults) == (weight == "fault")
    assert len(answer.watch.open) == (weight == "open")
    assert set(case.get("items", ())) <= set(first.items)
    assert case.get("says", "") in " ".join([first.text, *(one.text for one in first.causes)])
    assert set(case.get("also", ())) <= set(causes)
    assert not set(case.get("never", ())) & set(causes)
    if "guess" in case:
        assert ("a guess" in first.text) == case["guess"]


def test_what_shows_no_device_cannot_say_that_all_is_well() -> None:
    """Not even of parts that never show on the bus."""
    plan = document()
    plan["plan"]["seats"] = [one for one in plan["plan"]["seats"] if one["item"] == "carrier-1"]
    answer = held(changed_machine({"nothing": True}), plan)
    assert (answer.verdict.word, [one.kind for one in answer.watch.open]) == (
        "yes, if",
        ["not-read"],
    )


@pytest.mark.parametrize("change", [{"nothing": True}, {"without_from": ["00:01.0"], "add": {
    "00:1e.0": {"kind": "network"}}}])  # fmt: skip
def test_a_listing_that_says_nothing_is_told_in_a_few_lines(change: dict[str, Any]) -> None:
    text = verify_text(held(changed_machine(change)))
    assert len(text.splitlines()) < 16
    assert text.count("SLOT") == 0


CARDS = {"01:00.0": "00:01.0", "02:00.0": "00:02.0", "04:00.0": "00:04.0", "05:00.0": "00:05.0",
         "06:00.0": "00:06.0"}  # fmt: skip
"""What sits on the first processor, and the port of its slot."""
DARK = ("41:00.0", "42:00.0", "43:00.0", "44:00.0")
SWITCHED = ("52:00.0", "53:00.0", "54:00.0", "55:00.0")


@st.composite
def mishaps(draw: st.DrawFn) -> tuple[dict[str, Any], Counter[str]]:
    """One to four things that went wrong, no two in one place, and what each is."""
    case: dict[str, Any] = {"unplug": [], "exchange": [], "other": {}, "without": []}
    expected: Counter[str] = Counter()
    cards = draw(st.permutations(sorted(CARDS)))
    if draw(st.booleans()):
        case["unplug"].append(cards[0])
        expected["missing"] += 1
    if draw(st.booleans()):
        case["exchange"].append([CARDS[cards[1]], CARDS[cards[2]]])
        expected["changed-places"] += 1
    elif draw(st.booleans()):
        case["exchange"].append([CARDS[cards[1]], "00:03.0"])
        expected["elsewhere"] += 1
    if draw(st.booleans()):
        case["without_from"] = ["40:00.0"]
        case["read"] = {"nodes": 1, "gone": ["cpu1"]}
        expected["processor-missing"] += 1
        return case, expected
    if draw(st.booleans()):
        case["without"].append(draw(st.sampled_from(DARK)))
        expected["fewer-drives"] += 1
    if draw(st.booleans()):
        one, other = draw(st.permutations(range(4)))[:2]
        for here, there in ((one, other), (other, one)):
            case["other"][SWITCHED[here]] = {"kind": "drive", "device": 0xE0 + there}
        expected["other-order"] += 1
    return case, expected


@given(mishaps())
def test_as_many_faults_as_things_went_wrong_each_of_its_kind(
    mishap: tuple[dict[str, Any], Counter[str]],
) -> None:
    case, expected = mishap
    answer = held(changed_machine(case), changed_plan(case))
    assert Counter(one.kind for one in answer.do.faults) == expected


@given(st.sets(st.sampled_from(range(4)), min_size=1, max_size=3), st.booleans())
def test_the_sockets_that_are_dark_are_those_whose_ports_lead_nowhere(
    dark: set[int], hidden: bool
) -> None:
    """Of alike drives; a port that the firmware hides leaves a gap in the numbers."""
    gone = [DARK[one] for one in dark]
    if hidden and 0 not in dark:
        gone += [f"40:01.{one}" for one in dark]
    (fault,) = held(changed_machine({"without": gone})).do.faults
    assert set(fault.items) == {"carrier-1", *(f"drive-{3 + one}" for one in dark)}
    for one in range(4):
        assert (f"drive-{3 + one} in socket{one + 1}" in fault.text) == (one in dark)
