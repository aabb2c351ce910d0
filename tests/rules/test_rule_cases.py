"""Every rule says what its table in tests/cases/rules says, no more and no less."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import assert_never

import pytest

from slotfit.engine.seats import seat_all
from slotfit.model.clause import Clause, arrangement, atoms_of, holds
from slotfit.model.problem import Problem
from slotfit.model.reason import Doubt, No, Verdict
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule, SeatRule, trial_of
from slotfit.rulebook import BY_ID, SEAT_RULES
from tests.rules.tables import Case, all_cases, problem_of, tables


@pytest.mark.parametrize(("rule_id", "name"), all_cases())
def test_rule_says_what_its_table_says(rule_id: str, name: str) -> None:
    case = tables()[rule_id]["cases"][name]
    problem = problem_of(case)
    match BY_ID[rule_id]:
        case SeatRule() as rule:
            verdicts = verdicts_of(rule, problem, case)
            objections = [v for v in verdicts if isinstance(v, No)]
            doubts = [v for v in verdicts if isinstance(v, Doubt)]
            assert [v.text for v in objections] == case.get("says", [])
            assert [fact.statement for fact in doubts] == case.get("rests_on", [])
            assert all(v.rule == rule_id for v in verdicts)
            assert all(v.spans for v in objections), "an objection names no place in a file"
            assert all(fact.span for fact in doubts), "a fact names no place in a file"
        case PlanRule() as rule:
            broken = broken_clauses(rule, problem, case)
            assert [clause.reason.text for clause in broken] == case.get("says", [])
            assert all(clause.reason.rule == rule_id for clause in broken)
            assert all(clause.reason.spans for clause in broken)
        case other:
            assert_never(other)


def verdicts_of(rule: SeatRule, problem: Problem, case: Case) -> list[Verdict]:
    """What the rule says of the part in the receptacle, each word once."""
    seating = seat_all(problem, SEAT_RULES)
    every = [*seating.seats, *(refusal.seat for refusal in seating.refusals)]
    part, receptacle, under = case.get("of", "card"), case.get("at", "slot1"), case.get("under")
    trials = [
        trial_of(problem, seat)
        for seat in every
        if (seat.part, seat.receptacle) == (part, receptacle)
        and (not under or under in seat.arrangements)
    ]
    assert trials, f"{part} is not even tried in {receptacle}"
    return list(dict.fromkeys(verdict for trial in trials for verdict in rule.judge(trial)))


def broken_clauses(rule: PlanRule, problem: Problem, case: Case) -> list[Clause]:
    """The rule's clauses that the chosen seats and arrangements break."""
    seating = seat_all(problem, SEAT_RULES)
    chosen = {seat.key: seat for seat in chosen_seats(seating, case)}
    atoms = {*chosen, *arranged(problem, chosen.values(), case)}
    clauses = list(rule.state(problem, seating))
    known = {seat.key for seat in seating.seats} | every_arrangement(problem)
    assert all(atom in known for clause in clauses for atom in atoms_of(clause))
    return [clause for clause in clauses if not holds(clause, atoms)]


def chosen_seats(seating: Seating, case: Case) -> Iterator[Seat]:
    """The seats a case names; a nested one on the seat of its owner that is named before it."""
    taken: set[str] = set()
    named = [
        (part, one)
        for part, where in case.get("seats", {}).items()
        for one in (where if isinstance(where, list) else [where])
    ]
    for part, where in named:
        receptacle, _, under = where.partition(" under ")
        found = [
            seat
            for seat in seating.by_part.get(part, [])
            if seat.receptacle == receptacle and (not under or under in seat.arrangements)
        ]
        refused = [
            r.objections
            for r in seating.refusals
            if (r.seat.part, r.seat.receptacle) == (part, receptacle)
        ]
        assert found, f"{part} cannot sit in {where}: {refused}"
        seat = next((s for s in found if taken & set(s.parents)), found[0])
        taken.add(seat.key)
        yield seat


def arranged(problem: Problem, seats: Iterable[Seat], case: Case) -> Iterator[str]:
    """One arrangement a lane group: as the case says, as a seat needs, or the first."""
    needed = {s.upstream.group: s.arrangements[0] for s in seats if s.arrangements}
    for key, group in problem.lane_groups.items():
        usual = needed.get(key, str(group.arrangements[0].id))
        for way in str(case.get("arranged", {}).get(group.id, usual)).split(" and "):
            yield arrangement(key, way)


def every_arrangement(problem: Problem) -> set[str]:
    return {
        arrangement(key, str(way.id))
        for key in problem.lane_groups
        for way in problem.every_way(key)
    }
