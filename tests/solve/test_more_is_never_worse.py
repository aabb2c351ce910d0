"""More room cannot make the answer worse, more parts cannot make a build possible."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from slotfit.answers.place.plan import best_plan
from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.plan import Status
from slotfit.model.problem import Machine, Problem, Receptacle
from slotfit.model.words import Stage
from tests.builds import THEMES, small_build
from tests.limits import SECONDS

ROOMY: tuple[Stage, ...] = (
    "optional-parts",
    "dark-endpoints",
    "bandwidth",
    "unproven-facts",
    "locality",
    "cooling",
    "moves",
)
"""Without `reserve`, which counts what a receptacle could do: more lanes taken are more lost."""

half = settings(max_examples=settings().max_examples // 2)
"""Each example places two builds."""

builds = st.builds(
    small_build, st.randoms(use_true_random=False), st.sampled_from([*THEMES, "lanes", "carriers"])
)


def cost(problem: Problem) -> tuple[int, ...] | None:
    """The best plan's values; None if there is no plan."""
    answer = best_plan(problem, SECONDS)
    assert answer.status in (Status.PROVEN, Status.IMPOSSIBLE)
    return tuple(stage.value for stage in answer.plan.stages) if answer.plan else None


def no_worse(more: Problem, less: Problem) -> bool:
    before, after = cost(less), cost(more)
    return before is None or (after is not None and after <= before)


def with_board(problem: Problem, **changed: object) -> Problem:
    """The build with another first board, its receptacles' receptacles renewed."""
    first = problem.machines[0]
    machine = replace(first, board=first.board.model_copy(update=changed))
    kept = {receptacle.id: receptacle for receptacle in machine.board.receptacles}
    receptacles = [
        replace(receptacle, spec=kept.pop(receptacle.spec.id))
        if receptacle.owner == machine.id and receptacle.spec.id in kept
        else receptacle
        for receptacle in problem.receptacles
    ]
    alone = len(problem.machines) == 1
    receptacles += [
        Receptacle(name if alone else f"{machine.id}/{name}", machine.id, True, r)
        for name, r in kept.items()
    ]
    return replace(
        problem, machines=(machine, *problem.machines[1:]), receptacles=tuple(receptacles)
    )


def with_slot(problem: Problem, lanes: int, source: str, power_w: float) -> Problem:
    """One more slot, away from the row."""
    board = problem.machines[0].board
    way = Arrangement(id="extra.whole", gives={"extra": (lanes,)}, proof="documented")
    slot = BoardReceptacle(id="extra", form="cem", width=16, power_w=power_w, length_mm=300)
    return with_board(
        problem,
        receptacles=(*board.receptacles, slot),
        lane_groups=(
            *board.lane_groups,
            LaneGroup(id="extra", from_=source, generation=4, arrangements=(way,)),
        ),
    )


@half
@given(
    builds, st.sampled_from([4, 8, 16]), st.sampled_from(["cpu0", "hub"]), st.sampled_from([25, 75])
)
def test_one_more_slot(problem: Problem, lanes: int, source: str, power_w: float) -> None:
    assert no_worse(with_slot(problem, lanes, source, power_w), problem)


def widened(group: LaneGroup, machine: Machine) -> LaneGroup | None:
    """The same lane group with twice the lanes, if it is one undivided slot that has room."""
    only = group.arrangements[0]
    receptacle, widths = next(iter(only.gives.items()))
    width = {one.id: one.width for one in machine.board.receptacles}[receptacle]
    if len(group.arrangements) > 1 or len(only.gives) > 1 or len(widths) > 1 or width is None:
        return None
    lanes = 2 * int(widths[0])
    if lanes > width:
        return None
    way = only.model_copy(update={"gives": {receptacle: (lanes,)}})
    return group.model_copy(update={"arrangements": (way,)})


@half
@given(builds)
def test_twice_the_lanes(problem: Problem) -> None:
    problem = replace(problem, preferences=ROOMY)
    machine = problem.machines[0]
    groups = [widened(group, machine) or group for group in machine.board.lane_groups]
    assert no_worse(with_board(problem, lane_groups=tuple(groups)), problem)


def test_lanes_are_widened_often() -> None:
    """The property above would say nothing of builds in which nothing can be widened."""
    machines = [small_build(Random(n), theme).machines[0] for n in range(3) for theme in THEMES]
    assert (
        sum(any(widened(g, one) for g in one.board.lane_groups) for one in machines)
        > len(machines) / 3
    )


@half
@given(builds, st.integers(0, 9))
def test_one_part_less(problem: Problem, number: int) -> None:
    """
    A part never makes a build possible, unless others need it.

    Others sit on a part with receptacles, hang on an air mover, or are plugs of the same part.
    """
    companions = {part.companion_of for part in problem.parts if part.companion_of}
    idle = [
        part.id
        for part in problem.parts
        if not part.spec.receptacles
        and part.spec.part_class != "air-mover"
        and not part.companion_of
        and part.id not in companions
    ]
    if not idle:
        return
    gone = idle[number % len(idle)]
    kept = tuple(part for part in problem.parts if part.id != gone)
    groups = {
        field: tuple(
            group.model_copy(update={"parts": tuple(name for name in group.parts if name != gone)})
            for group in getattr(problem, field)
        )
        for field in ("together", "apart")
    }
    less = replace(problem, parts=kept, **groups)  # type: ignore[arg-type]
    assert cost(problem) is None or cost(less) is not None
