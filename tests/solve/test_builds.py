"""The builds that are drawn at random bite: they are worth looking at."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import product
from random import Random

import pytest

from slotfit.answers.place.plan import best_plan, state_all
from slotfit.engine.seats import judge
from slotfit.model.build import DEFAULT_STAGES
from slotfit.model.clause import AtMost
from slotfit.model.plan import Status
from slotfit.model.reason import Doubt
from slotfit.rule import trial_of
from slotfit.rulebook import RULES, SEAT_RULES
from tests.builds import THEMES, big_build, small_build
from tests.limits import SECONDS
from tests.oracle import best
from tests.solve.looked_at import build_of, of_all_themes

OFTEN = {
    "bays",
    "board size",
    "bodies overlap",
    "bracket",
    "cable",
    "closed slot",
    "in each other's way",
    "length",
    "no lanes",
    "no moving air",
    "not among the named",
    "not together",
    "other machine",
    "refuted",
    "retired",
    "row end",
    "slot power",
    "ends alike",
    "stand-off",
    "supply plugs",
    "supply watts",
    "too few endpoints",
    "too narrow",
    "too slow",
}
"""Complaints that keep a better plan, or any plan, from some of the few builds of the quick run."""

SELDOM = {
    "supply cables",
    "banned",
    "height",
    "on itself",
    "plugs of one part apart",
    "presence",
    "processor absent",
    "behind the slot",
    "far from processor",
    "guests share a group",
    "no room for the air mover",
    "not apart",
    "slot power shared",
    "slot unpowered",
}
"""Those that take more builds."""


def test_some_builds_are_impossible_and_most_are_not() -> None:
    found = [seen.cost is None for _, seen in of_all_themes()]
    assert 0.15 < sum(found) / len(found) < 0.6


def test_builds_leave_a_choice() -> None:
    looked_at = [seen.looked_at for _, seen in of_all_themes()]
    assert sum(looked_at) / len(looked_at) > 50
    several = [len(seen.choices) > 1 for _, seen in of_all_themes() if seen.cost is not None]
    assert sum(several) > 20  # so that the tie-break has work to do
    costs = [seen.cost for _, seen in of_all_themes() if seen.cost is not None]
    assert sum(any(cost) for cost in costs) / len(costs) > 0.5


def test_every_kind_of_complaint_decides_some_build() -> None:
    bites = Counter(word for _, seen in of_all_themes() for word in seen.bites)
    assert set() == OFTEN - set(bites)


@pytest.mark.long
def test_even_the_rare_complaints_decide_some_build() -> None:
    bites = Counter(
        word
        for theme in THEMES
        for number in range(100)
        for word in best(small_build(Random(f"rare {theme} {number}"), theme)).bites
    )
    assert set() == (OFTEN | SELDOM) - set(bites)


def spoken(theme: str, number: int) -> set[str]:
    """Rules with something to say of a build: against a seat, in doubt, or of a plan."""
    problem = build_of(theme, number)
    seating, clauses = state_all(problem)
    found = {o.rule for refusal in seating.refusals for o in refusal.objections}
    found |= {clause.reason.rule for clause in clauses if binds(clause)}
    for seat in seating.seats:
        if seat.facts:
            said = judge(trial_of(problem, seat), SEAT_RULES)
            found |= {word.rule for word in said if isinstance(word, Doubt)}
    return found


def binds(clause: object) -> bool:
    """Whether a clause can be broken at all: fewer may be chosen than there are."""
    if isinstance(clause, AtMost):
        return sum(max(weight, 0) for _, weight in clause.terms) > clause.limit
    return True


def test_every_rule_has_its_say() -> None:
    """What no build ever asks of a rule, no comparison with the judge has tried."""
    silent = {rule.id for rule in RULES}
    # A heat sink too high for the card over it is rare: a build that has one.
    for number, theme in (*product(range(40), THEMES), (328, "air")):
        silent -= spoken(theme, number)
        if not silent:
            break
    assert silent == OF_MACHINES_READ


OF_MACHINES_READ = {"FIT026", "FIT027"}
"""Of slots that a table calls in use, nobody knows by what: tests/describe/test_occupied.py."""


@pytest.mark.parametrize(("slots", "parts"), [(7, 9), (11, 14)])
def test_big_builds_can_mostly_be_placed(slots: int, parts: int) -> None:
    builds = [big_build(Random(n), slots, parts) for n in range(4)]
    usual = [replace(build, preferences=DEFAULT_STAGES) for build in builds]
    answers = [best_plan(build, SECONDS) for build in usual]
    assert [answer.status for answer in answers] == [Status.PROVEN] * 4
    plans = [answer.plan for answer in answers if answer.plan]
    assert sum(len(plan.seats) for plan in plans) > 4 * slots * 0.4
