"""
One plan, told the same everywhere: seats, settings, links and figures.

Builds are drawn by dice, several machines among them; what is said of today is drawn as well, or is
what another plan of the same build has.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from random import Random

import pytest

from slotfit.answers.compare.boards import ONLY_TIES, own
from slotfit.answers.compare.compare import BoardQuestion, try_board
from slotfit.answers.compare.text import as_csv
from slotfit.answers.compare.verdict import compare_answer
from slotfit.answers.headroom.headroom import AdditionsWanted, headroom
from slotfit.answers.names import gb_s, links_words, setting_text, trained_text
from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.left_out import place_most
from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.answers.place.text import as_text
from slotfit.answers.sequence.answer import SequenceAnswer
from slotfit.answers.sequence.plan import goal_of, sequence
from slotfit.answers.sequence.text import as_text as sequence_text
from slotfit.answers.verify.planned import planned_machine
from slotfit.answers.verify.verdict import verify
from slotfit.answers.why.why import why
from slotfit.draw.topology import topology
from slotfit.errors import InputError
from slotfit.load.catalog import standard_catalog
from slotfit.model.build import DEFAULT_STAGES, Sequence
from slotfit.model.plan import Placed, Status
from slotfit.model.problem import Part, Problem
from slotfit.read.join import join
from slotfit.sheet.steps import leftovers, steps_of
from tests.builds import THEMES, small_build
from tests.limits import SECONDS, mostly_long

SEEDS = [(theme, number) for number in range(6) for theme in THEMES]


def optional(part: Part) -> Part:
    return replace(part, wish=part.wish.model_copy(update={"required": False}))


def required(part: Part) -> Part:
    return replace(part, wish=part.wish.model_copy(update={"required": True}))


@cache
def drawn(theme: str, number: int) -> Problem:
    """A build that has a plan: where it has none as drawn, nothing in it is required."""
    dice = Random(f"agree {theme} {number}")
    while True:
        problem = small_build(dice, theme)
        loose = tuple(map(optional, problem.parts))
        loosened = replace(problem, parts=loose, preferences=DEFAULT_STAGES)
        for one in (problem, loosened):
            if best_plan(one, SECONDS).plan is not None:
                return one
        # Not even an empty machine stands: the board alone draws more than its supply gives.


def as_said(problem: Problem, placed: Placed, dice: Random) -> Problem:
    """The build with some of a plan as today's settings, and all of its seats as today's layout."""
    plan = placed.plan
    assert plan is not None
    ways = {str(key): way for key, way in plan.arrangements.items() if dice.randrange(3)}
    places = {
        seat.part: seat.receptacle
        for seat in plan.seats
        if not problem.part[seat.part].companion_of
    }
    said = Sequence.model_construct(settings_today=ways)
    return replace(problem, today=places, on_the_way=said)


@cache
def asked(theme: str, number: int) -> Placed:
    """The best plan of a build whose layout today is another plan of it."""
    dice, problem = Random(f"today {theme} {number}"), drawn(theme, number)
    before = best_plan(replace(problem, preferences=("cooling",)), SECONDS)
    return best_plan(goal_of(as_said(problem, before, dice)), SECONDS)


def told(theme: str, number: int) -> tuple[Problem, PlaceAnswer]:
    placed = asked(theme, number)
    return placed.problem, answer_of(placed)


def setting_lines(text: str) -> list[str]:
    """What the text says of settings, a line each."""
    found = re.search(r"^Do, in this order\n(.*?)(?:\n\n|\Z)", text, re.DOTALL | re.MULTILINE)
    lines = re.split(r"\n  - ", "\n" + found[1]) if found else []
    return [" ".join(line.split()) for line in lines if line.strip()]


@pytest.mark.parametrize("case", mostly_long(SEEDS, 10))
def test_a_setting_is_said_as_what_is_known_of_today_makes_it(case: tuple[str, int]) -> None:
    """Worked out from the plan's arrangements and the file's, and looked for in every place."""
    theme, number = case
    problem, answer = told(theme, number)
    placed = asked(theme, number)
    assert placed.plan is not None
    ways, said = placed.plan.arrangements, problem.sequence.settings_today
    lines = setting_lines(as_text(answer))
    steps = [step.text for section in steps_of(answer) for step in section.steps]
    drawing = topology(answer).graph.source
    for one in answer.do.settings:
        group = next(k for k in ways if (k.machine, k.group) == (one.machine, one.lane_group))
        text, now = setting_text(problem.arrangement(group, ways)), said.get(str(group))
        line = [x for x in lines if text in x and (len(problem.machines) == 1 or one.machine in x)]
        if not one.division.step:
            continue
        assert any(text in step for step in steps)
        if now is None:
            assert any(x.startswith("must be") for x in line)
            assert "must be" in drawing
            assert not any(x.startswith(("SET", "CHANGE")) for x in line)
        elif now == ways[group]:
            assert any(x.startswith("stays") for x in line)
            assert not any(step.endswith(f"Choose “{text}”") for step in steps)
        else:
            before = setting_text(problem.arrangement(group, {group: now}))
            assert any(x.startswith("SET") and f"now {before}" in x for x in line)
            assert any(f"now {before}" in step for step in steps)


@pytest.mark.parametrize("case", mostly_long(SEEDS, 10, 1))
def test_what_is_set_otherwise_today_is_always_told(case: tuple[str, int]) -> None:
    placed = asked(*case)
    assert placed.plan is not None
    problem, ways = placed.problem, placed.plan.arrangements
    told_of = {(one.machine, one.lane_group) for one in answer_of(placed).do.settings}
    for key, way in ways.items():
        now = problem.sequence.settings_today.get(str(key))
        if now is not None and now != way and problem.arrangement(key, ways).setting:
            assert (key.machine, key.group) in told_of


@pytest.mark.parametrize("case", mostly_long(SEEDS, 20))
def test_nothing_is_to_be_set_that_is_set_already(case: tuple[str, int]) -> None:
    """A machine that stands as its own plan has it, with every setting said."""
    theme, number = case
    problem = drawn(theme, number)
    placed = best_plan(problem, SECONDS)
    assert placed.plan is not None
    ways = {str(key): way for key, way in placed.plan.arrangements.items()}
    said = Sequence.model_construct(settings_today=ways)
    again = best_plan(replace(problem, on_the_way=said), SECONDS)
    answer = answer_of(again)
    lines = re.findall(r"^  - (SET|CHANGE)", as_text(answer), re.MULTILINE)
    # No file says to which generation a port is held today, so that is always told.
    assert len(lines) == len(answer.do.speeds)
    assert [one.value for one in again.plan.stages] == [one.value for one in placed.plan.stages]  # type: ignore[union-attr]


def figures(answer: PlaceAnswer) -> Iterator[tuple[str, str, str]]:
    """Part, what it needs and what its links carry, as `place` prints them."""
    _, _, text = as_text(answer, every=True).partition("part by part\n")
    for seat in answer.plan.seats:
        name = re.escape(seat.item)
        row = re.search(
            rf"^ .*  {name}(?: [!@?]+)? +(?:\S+ )+ +(\S+)  +(\S+)  ", text, re.MULTILINE
        )
        assert row, (seat.item, text)
        yield seat.item, row[1], row[2]


@pytest.mark.parametrize("case", mostly_long(SEEDS, 20, 3))
def test_compare_of_the_own_board_has_the_plan_of_place(case: tuple[str, int]) -> None:
    theme, number = case
    problem = drawn(theme, number)
    problem = replace(
        problem,
        today={},
        preferences=tuple(one for one in problem.preferences if one not in ("moves", *ONLY_TIES)),
    )
    placed = best_plan(problem, SECONDS)
    assert placed.plan is not None
    answer, machine = answer_of(placed), problem.machines[0].id
    tried = try_board(BoardQuestion(problem, machine, SECONDS), own(problem, machine))
    assert tried.plan is not None, tried.mistake
    assert tried.plan.answer.plan == answer.plan
    rows = {
        row["part"]: row
        for row in csv.DictReader(io.StringIO(as_csv(compare_answer(problem, machine, [tried]))))
    }
    for part, needs, carries in figures(answer):
        row = rows[part]
        most = max(int(row["needs_in_mb_s"]), int(row["needs_out_mb_s"]))
        assert needs.removeprefix("~") == (gb_s(most) if most else "-")
        assert carries == (gb_s(int(row["carries_mb_s"])) if int(row["carries_mb_s"]) else "-")


@pytest.mark.parametrize("case", mostly_long(SEEDS, 40, 5))
def test_why_speaks_of_the_plan_that_place_has(case: tuple[str, int]) -> None:
    theme, number = case
    problem, answer = told(theme, number)
    dice = Random(f"why {theme} {number}")
    part = dice.choice(problem.parts).id
    free = [one for one in problem.receptacles if one.on_board]
    changes = why(problem, part, dice.choice(free).id, SECONDS).plan.parts
    seats = {seat.item: seat for seat in answer.plan.seats}
    for one in changes:
        seat = seats.get(one.item)
        assert (one.goes_from is None) == (seat is None)
        assert one.mb_s_before == ((seat.carries_mb_s or 0) if seat else 0)
        if seat and len(seat.links) == 1:
            assert one.link_before == seat.links[0].text


@pytest.mark.parametrize("case", mostly_long(SEEDS, 20, 7))
def test_a_sequence_ends_in_the_plan_of_place(case: tuple[str, int]) -> None:
    """Its last layout, what it sets on the way, and what it says of today's settings."""
    theme, number = case
    placed = asked(theme, number)
    problem, answer = told(theme, number)
    try:
        way = sequence(problem, None, SECONDS, goal=placed)
    except InputError:
        return  # today's layout cannot be by the rules of hardware
    if not way.plan.stretches:
        return  # there is no way
    last = way.plan.stretches[-1]
    seats = {seat.item: seat.site for seat in answer.plan.seats if not seat.body.companion_of}
    assert seats.items() <= dict(last.places).items()
    for one in answer.do.settings:
        group = f"{one.machine}/{one.lane_group}"
        key = next(k for k in problem.lane_groups if str(k) == group)
        if one.division.step and group in last.settings:
            assert one.division.text.endswith(
                setting_text(problem.arrangement(key, {key: last.settings[group]}))
            )
        changes = [
            change
            for work in way.do.work
            for change in work.changes
            if (change.machine, change.group) == (one.machine, one.lane_group)
        ]
        if one.division.step == "set":
            assert changes
            assert changes[0].before == one.division.now
            assert changes[0].known
        if one.division.step == "must be" and changes:
            assert not changes[0].known
        if one.division.step == "stays" and changes:
            assert len(changes) > 1
    assert_links(way, answer)
    assert_words(way)


@pytest.mark.parametrize("case", mostly_long(SEEDS, 10, 4))
def test_verify_expects_the_links_that_place_tells(case: tuple[str, int]) -> None:
    """Part by part, in every machine, whatever the machine shows."""
    problem, answer = told(*case)
    for machine in problem.machines:
        seats = {seat.item: seat for seat in answer.plan.seats if seat.machine == machine.id}
        held = verify(planned_machine(answer, "build.yaml", machine.id), join([]))
        assert {part.item for part in held.plan.parts} <= set(seats)
        for part in held.plan.parts:
            seat = seats[part.item]
            assert (part.site, part.label) == (seat.site, seat.label)
            if len(seat.links) == 1 and part.planned and seat.links[0].trains.lanes:
                assert part.planned == trained_text(seat)


@pytest.mark.parametrize("case", mostly_long(SEEDS, 40, 6))
def test_headroom_moves_parts_from_where_place_put_them(case: tuple[str, int]) -> None:
    problem, answer = told(*case)
    sites = {seat.item: seat.site for seat in answer.plan.seats}
    asked_for = AdditionsWanted(("nic-10g-2p", "nvme-2280-gen4"))
    found = headroom(problem, standard_catalog(()), asked_for, SECONDS)
    *alone, together = found.plan.rooms  # the last is of both at once: one of each, or none
    assert [one.name for one in alone] != [together.name]
    for room, each in (*((one, 1) for one in alone), (together, len(alone))):
        assert room.fits * each == len({one.addition for one in room.seats if not one.inside})
        assert all(sites[part] == before for part, before, _ in room.moves)
        assert not {one.site for one in room.seats} & set(sites.values()) - {
            before for _, before, _ in room.moves
        }


def assert_links(way: SequenceAnswer, answer: PlaceAnswer) -> None:
    """What comes in the last window trains as the plan says."""
    in_plan = {seat.item: links_words(seat.links) for seat in answer.plan.seats}
    for work in way.do.work:
        if work.window == len(way.plan.windows):
            arrived = [one for one in (*work.in_, *work.moved) if one.link]
            assert [one.link for one in arrived] == [in_plan[one.item] for one in arrived]


def assert_words(way: SequenceAnswer) -> None:
    text = " ".join(sequence_text(way).split())
    for work in way.do.work:
        for change in work.changes:
            now = f"now {change.before}" if change.known else f"taken to be {change.before} now"
            assert f"({' '.join(now.split())})" in text


@pytest.mark.parametrize("case", mostly_long(SEEDS, 10, 2))
def test_with_several_machines_a_slot_is_named_with_its_own(case: tuple[str, int]) -> None:
    """Every line beyond the machines' own tables that names a label which two boards have."""
    theme, number = case
    problem, answer = told("machines", number * len(THEMES) + THEMES.index(theme))
    boards: dict[str, set[str]] = {}
    for one in answer.plan.receptacles:
        if one.on_board:
            boards.setdefault(one.label, set()).add(one.machine)
    shared = [label for label, machines in boards.items() if len(machines) > 1]
    machines = [machine.id for machine in problem.machines]
    _, _, after = as_text(answer, reasons=True).partition("\nDo, in this order")
    lines = [" ".join(one.split()) for one in re.split(r"\n  (?=\S)|\n\n", after)]
    lines += [step.text for section in steps_of(answer) for step in section.steps]
    lines += leftovers(answer)
    for line in lines:
        for label in shared:
            if re.search(rf"(?<![\w/]){re.escape(label)}\b", line):
                assert any(re.search(rf"\b{one}\b", line) for one in machines), line


@pytest.mark.parametrize(
    "case",
    mostly_long([(theme, n) for n in range(30) for theme in ("plugs", "supply", "power")], 5, 3),
)
def test_what_is_said_to_want_a_free_receptacle_has_one_when_alone(case: tuple[str, int]) -> None:
    """Who is kept out by others fits once they are gone; else the true reason is another."""
    theme, number = case
    problem = drawn(theme, number)
    tight = replace(problem, parts=tuple(required(part) for part in problem.parts))
    most = place_most(tight, SECONDS)
    for one in most.missing:
        if "no suitable slot is free" not in one.why or "besides" in one.why:
            continue
        alone = replace(
            tight,
            parts=tuple(part if part.body == one.item else optional(part) for part in tight.parts),
        )
        assert best_plan(alone, SECONDS).status is Status.PROVEN, one.why


@pytest.mark.parametrize("case", mostly_long(SEEDS, 20, 9))
def test_who_is_said_to_stand_somewhere_stands_there(case: tuple[str, int]) -> None:
    """In the plan that is shown with the reason."""
    theme, number = case
    problem = drawn(theme, number)
    tight = replace(problem, parts=tuple(required(part) for part in problem.parts))
    most = place_most(tight, SECONDS)
    homes = (
        {seat.receptacle: seat.part for seat in most.placed.plan.seats} if most.placed.plan else {}
    )
    for one in most.missing:
        for site, holder in re.findall(
            r"([\w/-]+) \((\w+)\)", one.why.partition(" taken or covered")[0]
        ):
            if site in homes and "no suitable slot is free:" in one.why:
                assert homes[site] == holder
