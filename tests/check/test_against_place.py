"""`check` and `place` never disagree: both are asked the same on random empty boards."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from random import Random

import pytest

from slotfit.answers.check.check import check
from slotfit.answers.check.outcome import SeatOutcome
from slotfit.answers.check.question import LayoutModel, Question, SeatedParts, layouts, stands
from slotfit.answers.check.verdict import Word, outcomes, verdicts
from slotfit.answers.place.plan import best_plan
from slotfit.model.plan import Plan, Status
from slotfit.model.problem import Part
from slotfit.model.words import Stage
from slotfit.rulebook import PLAN_RULES, SEAT_RULES
from tests.check.questions import alone, beside_others
from tests.limits import SECONDS, mostly_long

LOSSES = 971
"""A board whose stated losses hold a drive to a generation: the referee counts them as well."""
STAGES: tuple[Stage, ...] = ("dark-endpoints", "bandwidth", "unproven-facts")


def pinned(part: Part, receptacle: str) -> Part:
    """It must sit there."""
    wish = part.wish.model_copy(update={"pin": receptacle, "required": True})
    return replace(part, wish=wish)


def placed(question: Question, receptacle: str) -> Plan | None:
    """What `place` says if the part, its drives and all else must sit where the question says."""
    sits = {**question.today, **question.drives, question.part_id: receptacle}
    parts = tuple(pinned(part, sits[part.id]) for part in question.problem.parts)
    problem = replace(question.problem, parts=parts, preferences=STAGES)
    answer = best_plan(problem, SECONDS)
    assert answer.status in (Status.PROVEN, Status.IMPOSSIBLE)
    return answer.plan


def cost(outcome: SeatOutcome) -> tuple[int, int, int]:
    """What `place` minimises, of one outcome of `check`."""
    facts = {fact.id for fact in (*outcome.decides, *outcome.provided)}
    return (outcome.dark, outcome.short_mb_s, len(facts))


def found(model: LayoutModel, receptacle: str, today: SeatedParts) -> list[SeatOutcome]:
    """The outcomes of `check` in which everything has a seat."""
    tried = outcomes(model, [*layouts(model, receptacle, today)], today)
    return [one for layout, one in tried if stands(layout, today) and not one.idle]


def agree_on_an_empty_board(seed: int) -> None:
    question = alone(Random(seed))
    model = LayoutModel(question, SEAT_RULES, PLAN_RULES)
    today = model.lay({}, {})
    for receptacle in question.receptacles:
        plan = placed(question, receptacle)
        possible = found(model, receptacle, today)
        assert (plan is None) == (not possible)
        if plan is not None:
            assert min(map(cost, possible)) == tuple(stage.value for stage in plan.stages)


@pytest.mark.parametrize("seed", [*range(40), LOSSES])
def test_on_an_empty_board_both_find_the_same(seed: int) -> None:
    agree_on_an_empty_board(seed)


@pytest.mark.long
@pytest.mark.parametrize("seed", sorted({*range(40, 2000)} - {LOSSES}))
def test_on_many_boards_both_find_the_same(seed: int) -> None:
    agree_on_an_empty_board(seed)


def test_the_questions_are_of_every_kind() -> None:
    """Random boards on which nothing fits, or everything does, would prove little."""
    words = set()
    for seed in range(160):
        question = alone(Random(seed))
        model = LayoutModel(question, SEAT_RULES, PLAN_RULES)
        words |= {verdict.word for verdict in verdicts(model)}
    assert words == set(Word)


@pytest.mark.parametrize("seed", mostly_long(range(80)))
def test_every_verdict_is_enough_to_act_on(seed: int) -> None:
    """A setting to make, a reason for each dark endpoint, a way to find out, or every objection."""
    for question in (alone(Random(seed)), beside_others(Random(seed))):
        for verdict in check(question).plan.receptacles:
            dark = [one.dark for one in verdict.endpoints if one.text == "not detected"]
            assert all(dark)
            assert (verdict.status == "not known") == bool(verdict.unknown)
            assert all(one.find_out for one in (*verdict.unknown, *verdict.provided))
            if verdict.status == "works once set":
                assert verdict.setting
            if verdict.status == "works in part":
                assert dark
            if verdict.status == "does not work":
                assert verdict.reasons or dark


def test_check_loads_no_solver() -> None:
    code = (
        "import sys; from slotfit.cli.main import run\n"
        "sys.argv[1:] = 'check carrier-m2x4-gen4 old-menu-lies --with nvme-2280-gen4'.split()\n"
        "try: run()\n"
        "except SystemExit: pass\n"
        "assert 'slotfit.answers.check.verdict' in sys.modules\n"
        "assert not [name for name in sys.modules if name.startswith('ortools')]"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "works in part" in done.stdout
