"""
A rule of a kind that no rule is: it is found in the clash and got around, with nothing else said.

Three parts at once share the height that their chassis has room for. The rule is invented.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import combinations

import pytest

from slotfit import api, rulebook
from slotfit.answers.no_plan import asked_again, case
from slotfit.answers.no_plan.asked_again import Asking
from slotfit.answers.no_plan.case import canonical, case_of
from slotfit.answers.no_plan.changed import with_chassis, without
from slotfit.answers.no_plan.explain import Findings
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.place import plan
from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import standard_catalog
from slotfit.model.clause import AtMost, Clause, atoms_of
from slotfit.model.machine import Chassis
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule
from tests.limits import SECONDS


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Any three parts are twice as high together as one may be at most."""
    for machine in problem.machines:
        if machine.chassis is None or machine.chassis.card_height_mm is None:
            continue
        limit = round(2 * machine.chassis.card_height_mm)
        for three in combinations(problem.parts, 3):
            terms = tuple(
                (seat.key, round(part.spec.height_mm or 0))
                for part in three
                for seat in seating.by_part.get(part.id, [])
                if seat.upstream.machine == machine.id
            )
            names = {f"part {number}": part.id for number, part in enumerate(three)}
            facts = (Cited("chassis", machine.chassis.id, machine.chassis, "card_height_mm"),)
            three_parts = tuple(part.id for part in three)
            reason = RULE.no("rail", names, facts, chassis=machine.chassis.id, three=three_parts)
            yield AtMost(reason, terms, limit, "mm")


RULE = PlanRule(
    id="NEW001",
    title="three parts too high together",
    why="They share a rail.",
    source="our own",
    says={"rail": Wording("{chassis} has no room for {three}", words={"three": " and ".join})},
    state=state,
)

# Three cards of full height are 333 mm: twice 165 mm is less, and twice 175 mm is more. Both
# figures are those of the catalog's files.
BUILD = """
id: b
machines:
- {id: box, board: desktop-steered, chassis: tower-mid, power_supply: supply-1000w, base_w: 150}
parts:
- {id: one, part: usb-5p-10g}
- {id: two, part: usb-5p-10g}
- {id: three, part: usb-5p-10g}
"""


@cache
def shop() -> Shop:
    return Shop(standard_catalog())


def problem() -> Problem:
    return canonical(load_build_text(BUILD, shop().catalog))


@pytest.fixture
def _invented(monkeypatch: pytest.MonkeyPatch) -> None:
    """The rule, added where all rules are."""
    rules = (*rulebook.PLAN_RULES, RULE)
    for module in (rulebook, asked_again, case, plan):
        monkeypatch.setattr(module, "PLAN_RULES", rules)
    monkeypatch.setitem(rulebook.BY_ID, RULE.id, RULE)


def explained() -> Findings:
    return api.explain(problem(), shop(), ways=20, seconds=SECONDS)


def test_without_the_rule_the_build_has_a_plan() -> None:
    assert {one.spec.height_mm for one in problem().parts} == {111.15}
    assert best_plan(problem(), SECONDS).plan


@pytest.mark.usefixtures("_invented")
def test_an_invented_rule_is_in_the_clash_and_another_chassis_gets_around_it() -> None:
    told = explained()
    (clash,) = told.clashes
    assert "NEW001" in {sentence.says.rule for sentence in clash.sentences}
    found = {way.steps[0].kind: way for way in told.found.ways if len(way.steps) == 1}
    assert {"chassis", "leave-out"} <= found.keys()
    (machine,) = found["chassis"].placed.problem.machines
    assert machine.chassis
    assert (machine.chassis.card_height_mm or 0) * 2 >= 333


@pytest.mark.usefixtures("_invented")
def test_what_is_stated_anew_binds_only_if_the_change_is_made() -> None:
    asking = Asking(case_of(problem()))
    low = shop().catalog.look_up("rack-2u-low-profile", Chassis).entity
    effect = asking.again(with_chassis(problem(), "box", low))
    stated = {clause.reason.rule for clause in effect.states}
    assert "NEW001" in stated  # a lower one has less room for the three
    assert not {name for name in effect.lifts if "FIT008" in name}


def test_nothing_is_lifted_where_nothing_changes() -> None:
    asking = Asking(case_of(problem()))
    effect = asking.again(replace(problem(), name="the same"))
    assert (effect.lifts, effect.states) == (frozenset(), ())


def test_of_a_part_that_is_left_out_no_seat_is_taken() -> None:
    asking = Asking(case_of(problem()))
    effect = asking.again(without(problem(), ["one"]))
    gone = {seat.key for seat in asking.case.seating.by_part["one"]}
    assert gone
    assert gone <= {atom for clause in effect.states for atom in atoms_of(clause)}
    required = {
        one.name for one in asking.case.reasons.values() if one.text == "one has to be placed"
    }
    assert required
    assert required <= effect.lifts
