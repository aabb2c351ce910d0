"""Parts that may swap: found where nothing tells them apart, and then seated in order."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from random import Random

import pytest

from slotfit.answers.place.plan import best_plan, state_all
from slotfit.files import catalog_root
from slotfit.listing import by_name
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.solve.frame import alike, build_frame
from tests.bench.place import DISKS
from tests.builds import THEMES, small_build
from tests.limits import SECONDS

MACHINES = """
kind: build
id: swaps
machines: [{id: box, board: workstation}]
parts:
"""

CARDS = "  - {id: nic, part: nic-10g-2p, count: 3}\n"
CARRIERS = """
  - {id: carrier, part: carrier-m2x4-gen4, count: 2}
  - {id: drive, part: nvme-2280-gen4, count: 4}
"""


def build(parts: str, more: str = "") -> Problem:
    return load_build_text(MACHINES + parts + more, Catalog((catalog_root(),)))


def kinds(problem: Problem) -> list[tuple[str, ...]]:
    """The names of the parts that may swap."""
    return [kind.parts for kind in alike(problem, state_all(problem)[0])]


def test_counted_parts_may_swap() -> None:
    assert kinds(build(CARDS)) == [("nic-1", "nic-2", "nic-3")]
    carriers, drives = kinds(build(CARRIERS))
    assert carriers == ("carrier-1", "carrier-2")
    assert drives == ("drive-1", "drive-2", "drive-3", "drive-4")


def test_one_that_leaves_is_no_twin_of_those_that_stay() -> None:
    placed = best_plan(build(CARDS, "retire: [nic-3]"), SECONDS)
    assert "nic-3" not in placed.seating.by_part
    assert set(placed.seating.by_part) == {"nic-1", "nic-2"}


def test_so_may_parts_written_one_by_one() -> None:
    cards = "  - {id: b, part: nic-10g-2p}\n  - {id: a, part: nic-10g-2p}\n"
    assert kinds(build(cards)) == [("a", "b")]


@pytest.mark.parametrize(
    ("parts", "more", "left"),
    [
        (CARDS, "today: {nic-2: slot1}", [("nic-1", "nic-3")]),
        (CARDS, "retire: [nic-3]", [("nic-1", "nic-2")]),
        (CARDS, "together: [{parts: [nic-1, nic-2], by: processor}]", [("nic-1", "nic-2")]),
        (CARDS, "together: [{parts: [nic], by: processor}]", [("nic-1", "nic-2", "nic-3")]),
        (CARDS, "  - {id: odd, part: nic-10g-2p, min_lanes: 4}", [("nic-1", "nic-2", "nic-3")]),
        (
            CARRIERS,
            "  - {id: boot, part: nvme-2280-gen4, pin: carrier-1/m2a}",
            [("drive-1", "drive-2", "drive-3", "drive-4")],
        ),
    ],
    ids=[
        "sits there today",
        "leaves",
        "kept with one",
        "kept with all",
        "other wish",
        "named carrier",
    ],
)
def test_parts_that_something_tells_apart_may_not(
    parts: str, more: str, left: list[tuple[str, ...]]
) -> None:
    assert kinds(build(parts, more)) == left


def test_parts_that_carry_each_other_are_left_alone() -> None:
    """A riser in a riser: swapping their names would put the lower one into itself."""
    problem = next(
        problem
        for seed in range(200)
        if (problem := small_build(Random(seed), "riser"))
        and len([i for i in problem.parts if i.spec.part_class == "riser"]) > 1
    )
    risers = [i for i in problem.parts if i.spec.part_class == "riser"]
    twins = {i.id: replace(i, spec=risers[0].spec, wish=risers[0].wish) for i in risers}
    parts = tuple(twins.get(part.id, part) for part in problem.parts)
    kept = {r.id for r in risers[0].spec.receptacles}
    receptacles = tuple(
        receptacle
        for receptacle in problem.receptacles
        if receptacle.on_board or receptacle.owner not in twins or receptacle.spec.id in kept
    )
    assert not any(
        set(twins) & set(kind)
        for kind in kinds(replace(problem, parts=parts, receptacles=receptacles))
    )


def test_parts_alike_sit_in_the_order_of_their_names() -> None:
    seen = 0
    for theme, number in product(THEMES, range(8)):
        problem = small_build(Random(f"order {theme} {number}"), theme)
        placed = best_plan(problem, SECONDS)
        plan = placed.plan
        if plan is None:
            continue
        receptacle = {seat.part: seat.receptacle for seat in plan.seats}
        for kind in alike(problem, placed.seating):
            receptacles = [receptacle[part] for part in kind.parts if part in receptacle]
            assert receptacles == sorted(receptacles, key=by_name)
            # Those left out are the last.
            assert [part in receptacle for part in kind.parts] == sorted(
                (part in receptacle for part in kind.parts), reverse=True
            )
            seen += len(receptacles) > 1
    assert seen > 6


def test_many_disks_alike_are_few_variables() -> None:
    problem = load_build_text(DISKS, Catalog((catalog_root(),)))
    seating, clauses = state_all(problem)
    frame = build_frame(problem, seating, clauses, in_order=True)
    assert len(seating.seats) > 5000
    assert len(frame.model.domains) < len(seating.seats) / 10
    answer = best_plan(problem, SECONDS, seating=seating)
    assert answer.status is Status.PROVEN
    assert answer.plan is not None
    disks = {s.part: s.receptacle for s in answer.plan.seats if s.part.startswith("disk")}
    assert len(disks) == 24
    assert sorted(disks, key=by_name) == sorted(disks, key=lambda part: by_name(disks[part]))
