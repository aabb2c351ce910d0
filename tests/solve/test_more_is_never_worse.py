"""More room cannot make the answer worse, more parts cannot make a build possible."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from slotfit import api
from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.plan import Status
from slotfit.model.problem import Problem, Rig, Site
from slotfit.model.words import Stage
from tests.builds import THEMES, small_build

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
    answer = api.place(problem, seconds=600)
    assert answer.status in (Status.PROVEN, Status.IMPOSSIBLE)
    return tuple(stage.value for stage in answer.plan.stages) if answer.plan else None


def no_worse(more: Problem, less: Problem) -> bool:
    before, after = cost(less), cost(more)
    return before is None or (after is not None and after <= before)


def with_board(problem: Problem, **changed: object) -> Problem:
    """The build with another first board, its receptacles' sites renewed."""
    first = problem.rigs[0]
    rig = replace(first, board=first.board.model_copy(update=changed))
    kept = {receptacle.id: receptacle for receptacle in rig.board.receptacles}
    sites = [
        site._replace(receptacle=kept.pop(site.receptacle.id))
        if site.on_board and site.owner == rig.id
        else site
        for site in problem.sites
    ]
    alone = len(problem.rigs) == 1
    sites += [
        Site(name if alone else f"{rig.id}/{name}", rig.id, True, r) for name, r in kept.items()
    ]
    return replace(problem, rigs=(rig, *problem.rigs[1:]), sites=tuple(sites))


def with_slot(problem: Problem, lanes: int, source: str, power_w: float) -> Problem:
    """One more slot, away from the row."""
    board = problem.rigs[0].board
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


def widened(group: LaneGroup, rig: Rig) -> LaneGroup | None:
    """The same lane group with twice the lanes, if it is one undivided slot that has room."""
    only = group.arrangements[0]
    receptacle, widths = next(iter(only.gives.items()))
    width = {one.id: one.width for one in rig.board.receptacles}[receptacle]
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
    rig = problem.rigs[0]
    groups = [widened(group, rig) or group for group in rig.board.lane_groups]
    assert no_worse(with_board(problem, lane_groups=tuple(groups)), problem)


def test_lanes_are_widened_often() -> None:
    """The property above would say nothing of builds in which nothing can be widened."""
    rigs = [small_build(Random(n), theme).rigs[0] for n in range(3) for theme in THEMES]
    assert sum(any(widened(g, rig) for g in rig.board.lane_groups) for rig in rigs) > len(rigs) / 3


@half
@given(builds, st.integers(0, 9))
def test_one_part_less(problem: Problem, number: int) -> None:
    """
    A part never makes a build possible, unless others need it.

    Others sit on a part with receptacles, hang on an air mover, or are plugs of the same part.
    """
    companions = {item.companion_of for item in problem.items if item.companion_of}
    idle = [
        item.id
        for item in problem.items
        if not item.part.receptacles
        and item.part.part_class != "air-mover"
        and not item.companion_of
        and item.id not in companions
    ]
    if not idle:
        return
    gone = idle[number % len(idle)]
    kept = tuple(item for item in problem.items if item.id != gone)
    groups = {
        field: tuple(
            group.model_copy(update={"parts": tuple(name for name in group.parts if name != gone)})
            for group in getattr(problem, field)
        )
        for field in ("together", "apart")
    }
    less = replace(problem, items=kept, **groups)  # type: ignore[arg-type]
    assert cost(problem) is None or cost(less) is not None
