"""`slotfit place` as it is typed where nothing fits, and with what may be asked beside the plan."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from slotfit import api
from slotfit.answers.answer_word import EXIT
from slotfit.answers.no_plan.choices import choices
from slotfit.answers.no_plan.explain import findings_of, no_plan_answer
from slotfit.answers.no_plan.text import choices_lines, no_plan_text
from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load_build
from slotfit.load.catalog import standard_catalog
from slotfit.model.plan import Placed
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.solve.engine import Clock
from slotfit.solve.place import silent
from tests.docs.console import run
from tests.limits import SECONDS

ROOT = Path(__file__).parents[2]
LOCALITY = str(ROOT / "examples" / "infeasible-locality" / "build.yaml")
DEMO = str(ROOT / "examples" / "demo" / "build.yaml")


def asked(*words: str) -> tuple[int, str]:
    code, lines = run(["slotfit", "place", *words])
    return code, "\n".join(lines)


def asked_json(*words: str) -> tuple[int, Any]:
    code, text = asked(*words, "--json")
    return code, json.loads(text)


def test_where_nothing_fits_it_exits_with_1_and_says_why() -> None:
    code, text = asked(LOCALITY)
    assert code == 1
    assert "no plan exists" in text
    assert "Why: these cannot all hold" in text
    assert "1. Accept x4 for archive instead of x8." in text
    assert max(map(len, text.splitlines())) <= 80


def test_programs_get_the_same() -> None:
    code, answer = asked_json(LOCALITY)
    assert code == 1
    told = answer["explanation"]
    do = told["do"]
    (clash,) = told["clashes"]
    assert clash["minimal"] is True
    assert [sentence["number"] for sentence in clash["sentences"]] == [1, 2, 3, 4, 5]
    assert all(
        s["says"]["rule"] and s["says"]["where"] and s["reasons"] for s in clash["sentences"]
    )
    first = do["ways_out"][0]
    assert first["steps"][0]["kind"] == "lanes"
    assert ["archive", "slot7"] in first["plan"]["seats"]
    assert {price["value"]["stage"] for price in first["plan"]["prices"]} >= {
        "bandwidth",
        "locality",
    }
    assert (do["size"], do["complete"], do["stopped"]) == (1, True, False)


@pytest.mark.parametrize("ways", [0, 1, 3])
def test_so_many_ways_are_worked_out(ways: int) -> None:
    _, answer = asked_json(LOCALITY, "--ways", str(ways))
    assert len(answer["explanation"]["do"]["ways_out"]) == ways


def test_a_plan_has_no_explanation_and_nothing_beside_it() -> None:
    code, answer = asked_json(DEMO)
    assert code == EXIT["yes, if"]
    assert not {"explanation", "choices"} & answer.keys()


def test_all_that_may_be_asked_beside_a_plan() -> None:
    code, answer = asked_json(DEMO, "--also", "5", "--elsewhere", "hba", "--if-false")
    assert code == EXIT["yes, if"]
    told = answer["choices"]
    plans = told["equal_plans"]
    assert plans["count"] >= 1
    placed = {seat["item"] for seat in answer["plan"]["seats"]}
    going = {part for goes in (*plans["same"], *plans["differs"]) for part in goes["items"]}
    assert going == placed
    assert [one["item"] for one in told["elsewhere"]] == ["hba"]
    assert {one["fact"]["fact"] for one in told["if_false"]} == {
        fact["fact"] for fact in answer["watch"]["rests_on"]
    }


def test_a_name_that_is_no_part_is_refused_with_a_hint() -> None:
    code, text = asked(DEMO, "--elsewhere", "hbaa")
    assert code == 2
    assert text.startswith("--elsewhere: there is no part hbaa")
    assert "hba" in text.removeprefix("--elsewhere: there is no part hbaa")


def interrupted_after(calls: int) -> Any:
    """Places so many problems, then is interrupted."""
    done: list[Problem] = []

    def place(problem: Problem, seconds: float, *, seating: Seating) -> Placed:
        if len(done) == calls:
            raise KeyboardInterrupt
        done.append(problem)
        return best_plan(problem, seconds, seating=seating)

    return place


def text_of(problem: Problem, calls: int) -> str:
    told = findings_of(problem, interrupted_after(calls), None, Clock(SECONDS), silent)
    assert told.stopped
    assert len(told.found.ways) <= calls
    placed = best_plan(problem, SECONDS)
    return no_plan_text(answer_of(placed), no_plan_answer(told))


@pytest.mark.parametrize("calls", [0, 1, 2])
def test_ctrl_c_keeps_what_is_proven(calls: int) -> None:
    text = text_of(load_build(Path(LOCALITY), standard_catalog()), calls)
    assert "Why: these cannot all hold" in text
    assert ("1. Accept x4 for archive" in text) == (calls > 0)
    assert "Stopped, or out of time" in text


def test_without_time_nothing_is_claimed() -> None:
    problem = load_build(Path(LOCALITY), standard_catalog())
    told = api.explain(problem, seconds=0)
    assert told.clashes == []
    assert told.found.ways == []
    assert told.stopped
    assert not told.found.complete


def test_ctrl_c_beside_a_plan_keeps_what_is_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    found = best_plan(load_build(Path(DEMO), standard_catalog()), SECONDS)

    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("slotfit.answers.no_plan.choices.elsewhere", stop)
    told = choices(found, 3, ["hba"], SECONDS, facts=True)
    assert told.equal_plans is not None
    assert told.elsewhere == ()
    assert told.stopped
    assert "Stopped before all that was asked for" in " ".join(choices_lines(told))
