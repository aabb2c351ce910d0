"""The explorer says what `slotfit check` says: the same words for the same reasons."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random

import pytest

from slotfit.answers.check.answer import ReceptacleVerdict
from slotfit.answers.check.asked import question_asked
from slotfit.answers.check.check import check
from slotfit.answers.check.every import everything, planned_load
from slotfit.answers.check.machine_asked import (
    MachineOptions,
    as_today,
    held_to,
    taken_out,
    without_wishes,
)
from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog, standard_catalog
from slotfit.model.plan import Placed
from slotfit.sheet.sheet import Explorer, ExplorerCell, explorer_of
from tests.builds import THEMES, small_build
from tests.limits import SECONDS, mostly_long

EXAMPLES = Path(__file__).parents[2] / "examples"
BUILDS = sorted(EXAMPLES.glob("*/build.yaml"))


@cache
def catalog() -> Catalog:
    return standard_catalog(())


@cache
def placed(file: Path) -> Placed:
    return best_plan(load_build(file, catalog()), SECONDS)


def explored(found: Placed) -> Explorer:
    plan = found.plan
    return explorer_of(found.problem, everything(found.problem, plan), found.seating, plan)


def cells(explorer: Explorer) -> dict[tuple[str, str], ExplorerCell]:
    pairs = {(cell.part, cell.site): cell for cell in explorer.cells}
    assert len(pairs) == len(explorer.cells)
    return pairs


def agree(cell: ExplorerCell, told: ReceptacleVerdict) -> None:
    """The same word, and the same reasons as `check --json` prints them."""
    assert cell.verdict == told.status
    assert cell.reasons == tuple(reason.text for reason in told.reasons)
    assert told.summary in (*cell.says, "")


def own_parts(found: Placed, name: str) -> list[str]:
    """`--with` for what the plan puts on a part."""
    load = planned_load(found.problem, found.plan).get(name, ())
    return [
        f"{one.partition('/')[2]}={part.id}" for part, one in load if one.startswith(f"{name}/")
    ]


@pytest.mark.parametrize("file", mostly_long(BUILDS, 3, 0), ids=lambda file: file.parent.name)
def test_every_part_is_answered_as_by_check_on_the_build_file(file: Path) -> None:
    found = placed(file)
    pairs, seen = cells(explored(found)), set()
    for part in found.problem.parts:
        nowhere = part.id not in as_today(found.problem, None).part
        given = own_parts(found, part.id) if nowhere else []
        question = question_asked(part.id, str(file), catalog(), MachineOptions(), given)
        for view in check(question).plan.receptacles:
            pair = (part.id, view.receptacle)
            if pair in pairs:
                agree(pairs[pair], view)
                seen.add(pair)
            else:
                assert found.problem.receptacle[view.receptacle].spec.form == "opening"
    assert len(seen) >= 10 * len({part for part, _ in seen})
    others = {receptacle for part, receptacle in set(pairs) - seen}
    brought = {s.id for s in found.problem.receptacles if not s.on_board}
    assert others <= brought


@pytest.mark.parametrize("file", mostly_long(BUILDS, 3, 1), ids=lambda file: file.parent.name)
def test_sockets_the_plan_brings_are_answered_as_by_check_once_they_are_there(file: Path) -> None:
    """The same build, what holds others sitting where the plan has it: then asked one by one."""
    found = placed(file)
    told = everything(found.problem, found.plan)
    pairs = cells(explored(found))
    for answer in told.carriers:
        build = replace(found.problem, today={**found.problem.today, **answer.question.today})
        for name in answer.names:
            part, machine = build.part[name], as_today(build, None)
            if name in machine.part:
                machine = taken_out(machine, build, name).machine
            drives = [
                (without_wishes(build.part[one]), receptacle)
                for one, receptacle in answer.question.drives.items()
            ]
            question = held_to(machine, without_wishes(part), drives, None)
            views = {view.receptacle: view for view in check(question).plan.receptacles}
            for verdict in answer.verdicts:
                agree(pairs[name, verdict.receptacle.id], views[verdict.receptacle.id])


@pytest.mark.parametrize("theme", mostly_long(THEMES, 3, first=2))
def test_on_random_builds_too(theme: str) -> None:
    answered = 0
    for number in range(2):
        problem = small_build(Random(f"explorer {theme} {number}"), theme)
        found = best_plan(problem, SECONDS)
        pairs, machine = cells(explored(found)), as_today(problem, None)
        load = planned_load(problem, found.plan)
        for part in problem.parts:
            out = taken_out(machine, problem, part.id)
            drives = out.drives if part.id in machine.part else load.get(part.id, ())
            sat_in = machine.today.get(part.id)
            question = held_to(out.machine, out.part, drives, None, sat_in)
            for view in check(question).plan.receptacles:
                if (part.id, view.receptacle) in pairs:
                    agree(pairs[part.id, view.receptacle], view)
                    answered += 1
    assert answered


def test_every_seat_of_a_plan_works_where_it_is() -> None:
    """`place` put it there: on its own, with what goes on it, it has to do."""
    for file in BUILDS:
        found = placed(file)
        plan = found.plan
        if plan is None or found.problem.today:
            continue
        pairs = cells(explored(found))
        assert {pair for pair, cell in pairs.items() if cell.planned} == {
            (seat.part, seat.receptacle) for seat in plan.seats
        }
        assert not [c for c in pairs.values() if c.planned and c.verdict == "does not work"]


def test_what_is_in_the_way_today_is_told_and_what_would_be_without_it() -> None:
    found = placed(EXAMPLES / "sequence-lighthouse" / "build.yaml")
    cell = cells(explored(found))["accelerator", "lamp/slot3"]
    assert cell.planned
    assert cell.verdict == "does not work"
    assert any("there today: plates-old" in reason for reason in cell.reasons)
    assert cell.aside[0].startswith("With nothing else in the machine: works")


def test_what_the_build_file_wishes_stands_beside_the_verdict() -> None:
    """Two of four drives would be seen; the file asks for all four."""
    cell = cells(explored(placed(EXAMPLES / "demo" / "build.yaml")))["scans", "slot3"]
    assert cell.verdict == "works in part"
    assert cell.aside == ("The build file asks for 4 endpoints to be seen.",)
    boot = cells(explored(placed(EXAMPLES / "sequence-lighthouse" / "build.yaml")))
    aside = boot["index-1", "plates/m2a"].aside
    assert aside[0].startswith("The build file asks for something else: ")


def test_alike_parts_are_called_by_their_own_names() -> None:
    explorer = explored(placed(EXAMPLES / "demo" / "build.yaml"))
    for cell in explorer.cells:
        for text in (*cell.says, *cell.reasons, *cell.aside):
            assert not any(0xE000 <= ord(letter) <= 0xF8FF for letter in text)
    reason = cells(explorer)["scan-drive-3", "slot1"].reasons
    assert reason == ("the plug of scan-drive-3 is m2-m and slot1 is cem",)


def test_no_problem_without_a_plan() -> None:
    found = placed(EXAMPLES / "infeasible-lanes" / "build.yaml")
    assert found.plan is None
    assert len({cell.part for cell in explored(found).cells}) == len(found.problem.parts)
