"""
What is remembered of seats, held against judging them afresh.

Seats of random builds with one thing changed, whatever there is to change, are the same to the
letter whether the rules remember or not. So they are in builds made by hand, in each of which only
one thing changes that a rule looks at; and whatever else a rule looked at, it would not find.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import islice
from random import Random

import pytest

from slotfit import api
from slotfit.answers.no_plan import explain
from slotfit.answers.no_plan.case import Case, canonical, case_of
from slotfit.answers.no_plan.give_up import Change
from slotfit.answers.no_plan.machines import boards
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.no_plan.ways_out import tabled
from slotfit.engine.memory import Memory
from slotfit.engine.seats import Held, hold, judge, seat_all, seat_by
from slotfit.engine.upstream import Opening
from slotfit.files import catalog_root
from slotfit.load.catalog import Catalog
from slotfit.model.build import Group
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.model.reason import No, Verdict, stated
from slotfit.rule import SeatRule, Trial
from slotfit.rulebook import SEAT_RULES
from tests.builds import THEMES, small_build
from tests.explain.one_thing_changed import NAMED, PAIRS, ROLES, UPSTREAM, all_that_is_named
from tests.limits import SECONDS, mostly_long
from tests.rules.tables import all_cases, problem_of, tables

OF_A_KIND = 3
"""So many ways to make a change are tried."""


@cache
def shop() -> Shop:
    return Shop(Catalog((catalog_root(),)))


def changes(case: Case) -> Iterator[Change]:
    """Everything that can be given up or bought, whatever it is good for."""
    clashes = [list(case.reasons.values())]
    table = tabled(case, clashes, shop(), {})
    yield from (*table.changes, *table.alone, *boards(case.problem, shop()))


def further(problem: Problem) -> Iterator[Problem]:
    """What no change does yet, and rules look at all the same."""
    parts = problem.parts
    yield replace(problem, retire=tuple(machine.id for machine in problem.machines[:1]))
    yield replace(problem, retire=tuple(part.id for part in parts[:1]))
    yield replace(
        problem,
        machines=problem.machines[::-1],
        parts=parts[::-1],
        receptacles=problem.receptacles[::-1],
    )
    bodies = [part.id for part in parts if part.companion_of is None]
    both = (Group(by="processor", parts=tuple(bodies[:2])),)
    yield replace(problem, together=both)
    yield replace(problem, apart=both)
    blower = parts[0].spec.model_copy(update={"gives_airflow_lfm": 900, "receptacles": ()})
    yield replace(problem, parts=(*parts, Part("blower", blower, parts[0].wish)))
    guest = parts[0].wish.model_copy(update={"guest": "vm"})
    yield replace(problem, parts=(replace(parts[0], wish=guest), *parts[1:]))


def counted(rules: tuple[SeatRule, ...], looks: list[Trial]) -> tuple[SeatRule, ...]:
    """The same rules; the first notes each seat that it looks at."""
    first = rules[0]

    def judge(trial: Trial) -> Iterator[Verdict]:
        looks.append(trial)
        return first.judge(trial)

    return (replace(first, judge=judge), *rules[1:])


def check(problem: Problem) -> None:
    """Every change, one after another, with one memory for all of them; there and back."""
    problem = canonical(problem)
    looks: list[Trial] = []
    fresh_looks: list[Trial] = []
    memory = Memory(counted(SEAT_RULES, looks))
    fresh = counted(SEAT_RULES, fresh_looks)
    case = case_of(problem, rules=fresh)
    again = case_of(problem, rules=[memory.rule])
    assert (again.seating, again.reasons, again.stated) == (
        case.seating,
        case.reasons,
        case.stated,
    )
    for change in changes(case):
        for option in islice(change.options, OF_A_KIND):
            changed = canonical(option.made(problem))
            assert seat_by(memory.hold, changed) == seat_all(changed, fresh)
    for changed in (*further(problem), problem):
        assert seat_by(memory.hold, changed) == seat_all(changed, fresh)
    assert len(looks) < len(fresh_looks)


@pytest.mark.parametrize("theme", mostly_long(THEMES, 5))
def test_what_is_remembered_is_what_would_be_said_afresh(theme: str) -> None:
    check(small_build(Random(f"remembered {theme}"), theme))


@pytest.mark.long
@pytest.mark.parametrize("theme", THEMES)
def test_so_it_is_of_hundreds_of_builds(theme: str) -> None:
    for number in range(12):
        check(small_build(Random(f"remembered {theme} {number}"), theme))


def test_each_rule_finds_what_it_looks_at() -> None:
    # The table of each rule has a case for whatever it looks at.
    memory = Memory(SEAT_RULES)
    for rule, name in all_cases():
        problem = problem_of(tables()[rule]["cases"][name])
        assert seat_by(memory.hold, problem) == seat_all(problem, SEAT_RULES), (rule, name)


class Checked(Memory):
    """Holds whatever it remembers against judging it afresh."""

    def judge(self, trial: Trial) -> Iterator[Verdict]:
        said = tuple(super().judge(trial))
        assert said == tuple(judge(trial, self.rules))
        return iter(said)

    def hold(self, problem: Problem, receptacle: Receptacle, part: Part, way: Opening) -> Held:
        held = super().hold(problem, receptacle, part, way)
        assert held == hold(self.rules, problem, receptacle, part, way)
        return held


@pytest.mark.parametrize("theme", mostly_long(THEMES, 5, 1))
def test_every_seat_of_every_try_of_an_explanation(
    theme: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[Checked] = []

    def checked(rules: tuple[SeatRule, ...]) -> Checked:
        made.append(Checked(rules))
        return made[-1]

    monkeypatch.setattr(explain, "Memory", checked)
    builds = (small_build(Random(f"tries {theme} {number}"), theme) for number in range(60))
    told = (api.explain(build, shop(), SECONDS) for build in builds)
    assert next((one for one in told if one.clashes and one.found.ways), None)
    assert made[-1].held


@pytest.mark.parametrize("what", PAIRS)
def test_one_thing_changed_is_judged_anew(what: str) -> None:
    case, change = PAIRS[what]
    before = problem_of(case)
    after = change(before)
    memory = Memory(SEAT_RULES)
    assert seat_by(memory.hold, before) == seat_all(before, SEAT_RULES)
    assert seat_by(memory.hold, after) == seat_all(after, SEAT_RULES)
    assert verdicts(after, "card") != verdicts(before, "card")  # the change matters


def verdicts(problem: Problem, part: str) -> list[tuple[object, ...]]:
    """What is said of each seat of a part."""
    seating = seat_all(problem, SEAT_RULES)
    refused = [(one.seat.key, one.seat.facts, one.objections) for one in seating.refusals]
    allowed = [(seat.key, seat.facts, ()) for seat in seating.seats]
    return sorted(one for one in (*refused, *allowed) if one[0].startswith(f"{part}@"))


def test_air_movers_count_for_the_doubt_about_another_card() -> None:
    # In still air slot1's card needs an air mover, which a way out adds. Nobody has said what air
    # moves over slot2: the same air mover would settle that, did it sit on the card there.
    def card(slot: str) -> dict[str, object]:
        mount = [{"id": "mount", "form": "cooling-mount"}]
        return {"cooling": "passive", "airflow_lfm": 270, "receptacles": mount, "pin": slot}

    problem = problem_of(
        {
            "parts": {"hot": card("slot1"), "warm": card("slot2")},
            "slot1": {"airflow_lfm": 0},
            "receptacles": {"slot2": {"row": "rear", "position": 3}},
        }
    )
    told = api.explain(problem, shop(), SECONDS)
    added = [way for way in told.found.ways if [step.kind for step in way.steps] == ["more"]]
    assert added
    for way in added:
        placed = way.placed
        assert placed.seating == seat_all(placed.problem, SEAT_RULES)
        (warm,) = placed.seating.by_part["warm"]
        bought = tuple(placed.problem.part.keys() - {"hot", "warm"})
        assert [fact.settled_by for fact in warm.facts] == [bought]


def tell(trial: Trial) -> Iterator[Verdict]:
    """A rule that looks at all of it, and tells what it finds."""
    parts = [(one.id, one.spec.thickness) for one in trial.problem.parts if one.id in ROLES]
    receptacles = [one for one in trial.problem.receptacles if one.id in ROLES]
    yield stated(f"{trial.part.id} in {trial.receptacle.id}: {parts}, {receptacles}")


TELL = SeatRule(
    id="ALL",
    title="something",
    why="To see what rules can see.",
    source="our own",
    judge=tell,
)


def said(rule: SeatRule, problem: Problem, where: str = "site") -> str:
    """What one rule tells of the one seat."""
    part, receptacle = problem.part["item"], problem.receptacle[where]
    (word,) = rule.judge(Trial(problem, problem.machines[0], part, receptacle, UPSTREAM, ()))
    assert isinstance(word, No)
    return word.text


@pytest.mark.parametrize("what", NAMED)
def test_rules_find_whatever_a_seat_names_and_as_it_is_now(what: str) -> None:
    before = all_that_is_named()
    after = NAMED[what](before)
    memory = Memory([TELL]).rule
    assert said(memory, before) == said(TELL, before)
    assert said(memory, after) == said(TELL, after) != said(TELL, before)


def test_receptacles_of_one_kind_are_told_apart() -> None:
    # Receptacles of parts alike are one object under several names.
    problem = all_that_is_named()
    there = replace(problem.receptacle["site"], id="there")
    parts = tuple(part for part in problem.parts if part.id != "site")
    both = replace(problem, parts=parts, receptacles=(*problem.receptacles, there))
    memory = Memory([TELL]).rule
    assert said(memory, both, "site").startswith("item in site: ")
    assert said(memory, both, "there").startswith("item in there: ")


def test_rules_find_nothing_by_which_a_seat_is_not_known() -> None:
    problem = all_that_is_named()
    part, receptacle = problem.parts[0], problem.receptacles[0]
    more = replace(
        problem,
        parts=(*problem.parts, replace(part, id="stranger")),
        receptacles=(*problem.receptacles, replace(receptacle, id="far")),
        today={"item": "site"},
        untouchable=("item",),
    )
    looks: list[Trial] = []
    said(Memory(counted((TELL,), looks)).rule, more)
    (seen,) = looks
    assert seen.problem == replace(problem, id="", preferences=(), on_the_way=None)
