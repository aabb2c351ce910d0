"""One build, one plan: however it is written down, whatever its parts are called, on every run."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import replace
from random import Random
from typing import TypeVar

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slotfit.answers.place.plan import best_plan
from slotfit.listing import natural
from slotfit.model.board import Arrangement, LaneGroup
from slotfit.model.build import BuildPart, Group
from slotfit.model.keys import GroupKey
from slotfit.model.plan import Placed
from slotfit.model.problem import Machine, Part, Problem, Receptacle
from tests.builds import THEMES, big_build, small_build
from tests.limits import SECONDS

Thing = TypeVar("Thing")

half = settings(max_examples=settings().max_examples // 2)
"""Each example places two builds."""

builds = st.builds(small_build, st.randoms(use_true_random=False), st.sampled_from(THEMES))


def told(placed: Placed) -> object:
    """All that the answer says, in no order."""
    plan = placed.plan
    return placed.status, plan and {
        "places": {(seat.part, seat.receptacle) for seat in plan.seats},
        "links": {(seat.part, seat.links) for seat in plan.seats},
        "divisions": plan.arrangements,
        "left out": set(plan.left_out),
        "stages": plan.stages,
        "rests on": {fact.statement for fact in plan.facts},
    }


def mixed(things: Sequence[Thing], dice: Random) -> tuple[Thing, ...]:
    return tuple(dice.sample(list(things), len(things)))


def shuffled(problem: Problem, dice: Random) -> Problem:
    """The same build in another order; that of a group's arrangements has a meaning and stays."""
    machines = []
    for machine in mixed(problem.machines, dice):
        board = machine.board.model_copy(
            update={
                field: mixed(getattr(machine.board, field), dice)
                for field in ("lane_groups", "receptacles", "processors", "hubs")
            }
        )
        machines.append(replace(machine, board=board))
    groups = {
        field: tuple(
            group.model_copy(update={"parts": mixed(group.parts, dice)})
            for group in mixed(getattr(problem, field), dice)
        )
        for field in ("together", "apart")
    }
    return replace(
        problem,
        machines=tuple(machines),
        parts=mixed(problem.parts, dice),
        receptacles=mixed(problem.receptacles, dice),
        today=dict(mixed(list(problem.today.items()), dice)),
        **groups,  # type: ignore[arg-type]
    )


@half
@given(builds, st.integers(0, 1000))
def test_the_order_of_the_file_changes_nothing(problem: Problem, seed: int) -> None:
    assert told(best_plan(shuffled(problem, Random(seed)), SECONDS)) == told(
        best_plan(problem, SECONDS)
    )


class Renamed:
    """
    The same build with `x` before every name: of two names the same one comes first as before.

    Names of processors and hubs stay, as do those of receptacles on parts.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem

    def receptacle(self, name: str) -> str:
        """`slot1`, `machine/slot1` or `part/socket`."""
        owner, slash, receptacle = name.rpartition("/")
        machines = {machine.id for machine in self.problem.machines}
        if not slash:
            return f"x{receptacle}"
        return f"x{owner}/x{receptacle}" if owner in machines else f"x{owner}/{receptacle}"

    def machine(self, machine: Machine) -> Machine:
        def arranged(way: Arrangement) -> Arrangement:
            gives = {f"x{name}": widths for name, widths in way.gives.items()}
            return way.model_copy(update={"gives": gives})

        def grouped(group: LaneGroup) -> LaneGroup:
            ways = tuple(arranged(way) for way in group.arrangements)
            return group.model_copy(update={"id": f"x{group.id}", "arrangements": ways})

        receptacles = tuple(
            one.model_copy(
                update={"id": f"x{one.id}", "blocked_by": tuple(f"x{b}" for b in one.blocked_by)}
            )
            for one in machine.board.receptacles
        )
        groups = tuple(grouped(group) for group in machine.board.lane_groups)
        board = machine.board.model_copy(update={"lane_groups": groups, "receptacles": receptacles})
        entry = machine.entry.model_copy(update={"id": f"x{machine.id}"})
        return replace(machine, entry=entry, board=board)

    def part(self, part: Part) -> Part:
        wish = part.wish
        changed: BuildPart = wish.model_copy(
            update={
                "id": f"x{wish.id}",
                "only": tuple(map(self.receptacle, wish.only)),
                "ban": tuple(map(self.receptacle, wish.ban)),
                "machine": wish.machine and f"x{wish.machine}",
            }
        )
        companion = part.companion_of and f"x{part.companion_of}"
        return Part(f"x{part.id}", part.spec, changed, companion)

    def receptacles(self, machines: Sequence[Machine]) -> list[Receptacle]:
        boards = {
            machine.id: {one.id: one for one in machine.board.receptacles} for machine in machines
        }
        return [
            Receptacle(
                self.receptacle(receptacle.id),
                f"x{receptacle.owner}",
                receptacle.on_board,
                boards.get(f"x{receptacle.owner}", {}).get(
                    f"x{receptacle.spec.id}", receptacle.spec
                ),
            )
            for receptacle in self.problem.receptacles
        ]

    def groups(self, groups: Sequence[Group]) -> tuple[Group, ...]:
        return tuple(
            group.model_copy(update={"parts": tuple(f"x{name}" for name in group.parts)})
            for group in groups
        )

    def build(self) -> Problem:
        problem = self.problem
        machines = tuple(map(self.machine, problem.machines))
        return replace(
            problem,
            machines=machines,
            parts=tuple(map(self.part, problem.parts)),
            receptacles=tuple(self.receptacles(machines)),
            together=self.groups(problem.together),
            apart=self.groups(problem.apart),
            today={f"x{part}": self.receptacle(one) for part, one in problem.today.items()},
            retire=tuple(f"x{name}" for name in problem.retire),
        )


@half
@given(builds)
def test_other_names_in_the_same_order_change_only_the_names(problem: Problem) -> None:
    names = Renamed(problem)
    before, after = best_plan(problem, SECONDS), best_plan(names.build(), SECONDS)
    assert after.status is before.status
    if before.plan is None:
        return
    assert after.plan is not None
    assert after.plan.stages == before.plan.stages
    places = {(f"x{seat.part}", names.receptacle(seat.receptacle)) for seat in before.plan.seats}
    assert {(seat.part, seat.receptacle) for seat in after.plan.seats} == places
    ways = {
        GroupKey(f"x{key.machine}", f"x{key.group}"): way
        for key, way in before.plan.arrangements.items()
    }
    assert after.plan.arrangements == ways
    assert len(after.plan.facts) == len(before.plan.facts)


def test_names_are_counted_as_people_do() -> None:
    names = ["slot10", "slot2", "a/s10", "a/s9"]
    assert sorted(names, key=natural) == sorted(names, key=lambda name: natural(f"x{name}"))


@pytest.mark.parametrize("seed", range(3))
def test_a_big_build_twice(seed: int) -> None:
    problem = big_build(Random(seed), 11, 14)
    again = shuffled(big_build(Random(seed), 11, 14), Random(seed))
    assert told(best_plan(problem, SECONDS)) == told(best_plan(again, SECONDS))


PRINTED = """
from random import Random
from slotfit.answers.place.plan import best_plan
from tests.builds import THEMES, big_build, small_build

for problem in [*(small_build(Random(0), theme) for theme in THEMES), big_build(Random(1), 9, 11)]:
    placed = best_plan(problem)
    plan = placed.plan
    print([seat.key for seat in placed.seating.seats])
    print([clause.reason.text for clause in placed.clauses])
    print(plan and ([seat.key for seat in plan.seats], plan.arrangements, plan.facts))
"""


def test_the_same_whatever_the_hash_seed() -> None:
    """Nothing hangs on the order of a set, not even the order in which things are told."""
    printed = {
        subprocess.run(
            [sys.executable, "-c", PRINTED],
            env={**os.environ, "PYTHONHASHSEED": str(seed)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in (0, 77)
    }
    assert len(printed) == 1
