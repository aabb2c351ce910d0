"""Doing to the build file what a way out says gives the plan that it promises."""

from __future__ import annotations

from pathlib import Path

import pytest

from slotfit import api
from slotfit.answers.no_plan.answer import WayOut
from slotfit.answers.no_plan.case import canonical
from slotfit.answers.no_plan.write import edits_of, rewritten
from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load_build_text
from slotfit.load.edit import edited
from slotfit.load.yaml_file import parse_yaml
from slotfit.model.plan import Plan, Status
from slotfit.model.problem import Problem
from tests.explain.test_kinds_of_way_out import CASES, shop, text_of
from tests.limits import SECONDS, mostly_long
from tests.yardstick.drawn import drawn

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("infeasible-*/build.yaml"))

LONG = 120
"""So many random builds are looked at in the long run."""


NOT_WRITTEN = ("bracket", "typical")
"""What is done by hand, or read in a data sheet: the build file does not say it."""


def done(text: str, way: WayOut, before: Problem) -> str | None:
    """The build file once the steps are done; None for a step that the file does not show."""
    if any(step.kind in NOT_WRITTEN for step in way.steps):
        return None
    writes = [*rewritten(canonical(before), way.placed.problem)]
    told = [order for step in way.steps for order in step.write.split("; ")]
    assert set(map(str, writes)) <= set(told)
    return edited(text, edits_of(writes, parse_yaml(text, "build.yaml")), "build.yaml")


def seats(plan: Plan | None) -> set[tuple[str, str]]:
    assert plan is not None
    return {(seat.part, seat.receptacle) for seat in plan.seats}


def missing(problem: Problem, plan: Plan | None) -> set[str]:
    """Parts that had to be placed and are not; a plan of nothing is no plan."""
    assert plan is not None
    assert plan.seats
    must = {part.body for part in problem.parts if part.wish.required}
    return must - {seat.part for seat in plan.seats}


def follow(text: str, problem: Problem | None = None, ways: int = 12) -> int:
    """Do what every way out says; how many there were."""
    problem = problem or load_build_text(text, shop().catalog)
    told = api.explain(problem, shop(), ways=ways, seconds=SECONDS)
    followed = 0
    gone = [len(missing(problem, way.placed.plan)) for way in told.found.ways]
    assert gone == sorted(gone), "what keeps parts comes first"
    for way in told.found.ways:
        edit = done(text, way, problem)
        if edit is not None:
            answer = best_plan(load_build_text(edit, shop().catalog), SECONDS)
            assert seats(answer.plan) == seats(way.placed.plan), edit
            followed += 1
    return followed


@pytest.mark.parametrize("name", mostly_long(CASES))
def test_each_kind_of_way_out(name: str) -> None:
    assert follow(text_of(CASES[name])) or CASES[name].kind in NOT_WRITTEN


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.parent.name)
def test_the_worked_examples(file: Path) -> None:
    assert follow(file.read_text("utf-8"))


@pytest.mark.parametrize("seed", mostly_long(range(LONG), 10, 3))
def test_random_builds(seed: int) -> None:
    text = drawn(seed)
    problem = load_build_text(text, shop().catalog)
    if best_plan(problem, SECONDS).status is Status.IMPOSSIBLE:
        follow(text, problem)


RISER = (
    "{id: short, class: riser, plug: cem x16, links: x16, thickness: 1, length_mm: 120, "
    "height_mm: 111.15, bracket: none, generation: 3, row_positions: 1, receptacles: "
    "[{id: up, form: cem, width: 16, row: in, position: 0, power_w: 75, length_mm: 320, "
    "height_mm: 120, bracket: full}]}"
)

HELD = f"""id: b
machines:
- {{id: box, board: desktop-small, chassis: tower-large, power_supply: supply-1000w, base_w: 150}}
parts:
- {{id: riser, part: {RISER}, pin: slot1}}
- {{id: nic, part: nic-2.5g-1p, pin: slot1}}  # the only one
- {{id: card, part: nic-2.5g-1p, required: false, only: [riser/up]}}
- {{id: other, part: nic-2.5g-1p, required: false, ban: [riser/up]}}
today: {{card: riser/up, nic: slot1}}
sequence: {{goal: {{card: riser/up}}, services: [{{id: files, needs: [riser, nic]}}]}}
"""


def test_a_part_that_is_held_to_what_leaves_does_not_spoil_the_file() -> None:
    problem = load_build_text(HELD, shop().catalog)
    told = api.explain(problem, shop(), ways=12, seconds=SECONDS)
    assert "leave out riser" in {step.text for way in told.found.ways for step in way.steps}
    assert follow(HELD, problem)


def test_lines_that_a_way_out_does_not_speak_of_stay_byte_for_byte() -> None:
    problem = load_build_text(HELD, shop().catalog)
    told = api.explain(problem, shop(), ways=12, seconds=SECONDS)
    for way in told.found.ways:
        edit = done(HELD, way, problem)
        assert edit is not None
        lines = {number for number, line in enumerate(HELD.splitlines()) if line in edit}
        assert len(lines) >= len(HELD.splitlines()) - 1 - sum(len(s.write) > 0 for s in way.steps)
