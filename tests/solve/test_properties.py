"""What must hold of every build, whatever its figures."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from random import Random

import pytest

from slotfit import api
from slotfit.errors import InternalError
from slotfit.load.expand import expand
from slotfit.model.board import Board
from slotfit.model.plan import Plan, Status
from slotfit.model.problem import Problem, Site
from slotfit.referee import faults
from slotfit.rulebook import SEAT_RULES
from tests.builds import small_build

SEEDS = range(30)


def values(plan: Plan | None) -> tuple[int, ...] | None:
    """The preferences' values; None without a plan."""
    return tuple(stage.value for stage in plan.stages) if plan else None


def layout(plan: Plan | None) -> object:
    """What a person would see of it."""
    return plan and (
        sorted((seat.item, seat.site) for seat in plan.seats),
        sorted(plan.arrangements.items()),
    )


def shuffled(problem: Problem, dice: Random) -> Problem:
    """The same build written down in another order."""
    return replace(
        problem,
        items=tuple(dice.sample(problem.items, len(problem.items))),
        sites=tuple(dice.sample(problem.sites, len(problem.sites))),
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_the_order_of_the_file_changes_nothing(seed: int) -> None:
    problem = small_build(Random(seed))
    plan = api.place(problem).answer.plan
    assert layout(api.place(shuffled(problem, Random(seed))).answer.plan) == layout(plan)


@pytest.mark.parametrize("seed", SEEDS)
def test_one_part_less_is_never_worse(seed: int) -> None:
    """A part is never what makes a build possible: without a last, idle one it stays possible."""
    problem = small_build(Random(seed))
    if api.place(problem).answer.status is not Status.PROVEN:
        return
    alone = [i for i in problem.items if not i.part.receptacles and i.companion_of is None]
    free = [i for i in alone if not any(i.id in g.parts for g in problem.together)]
    free = [i for i in free if i.part.part_class != "air-mover"]
    free = [i for i in free if not any(o.companion_of == i.id for o in problem.items)]
    if not free:
        return
    kept = tuple(item for item in problem.items if item is not free[-1])
    apart = tuple(group for group in problem.apart if free[-1].id not in group.parts)
    less = replace(problem, items=kept, apart=apart, today={})
    assert api.place(less).answer.status is Status.PROVEN


@pytest.mark.parametrize("seed", SEEDS)
def test_no_time_is_never_called_impossible(seed: int) -> None:
    problem = small_build(Random(seed))
    status = api.place(problem, seconds=0).answer.status
    assert status in (Status.UNKNOWN, Status.UNPROVEN)


def test_the_same_plan_whatever_the_hash_seed() -> None:
    """No plan may hang on the order of a set or a dict."""
    code = (
        "from random import Random\n"
        "from slotfit import api\n"
        "from tests.builds import small_build\n"
        "for seed in range(12):\n"
        "    plan = api.place(small_build(Random(seed))).answer.plan\n"
        "    print([seat.key for seat in plan.seats] if plan else None)\n"
    )
    printed = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": str(seed)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in (0, 1, 2)
    }
    assert len(printed) == 1


@pytest.mark.parametrize("seed", SEEDS)
def test_the_referee_sees_a_tampered_plan(seed: int) -> None:
    placed = api.place(small_build(Random(seed)))
    plan = placed.answer.plan
    if plan is None or not plan.seats:
        return
    required = [s for s in plan.seats if placed.problem.item[s.item].wish.required]
    first = (required or list(plan.seats))[0]
    missing = replace(plan, seats=tuple(s for s in plan.seats if s.item != first.item))
    stage = plan.stages[0]
    dearer = replace(plan, stages=(replace(stage, value=stage.value + 1), *plan.stages[1:]))

    def wrong(tampered: Plan) -> list[str]:
        return list(faults(placed.problem, placed.seating, tampered, placed.clauses, SEAT_RULES))

    assert not wrong(plan)
    assert wrong(dearer)
    if required:
        assert wrong(missing)


def test_a_disagreement_is_an_internal_error(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = next(
        problem
        for seed in SEEDS
        if api.place(problem := small_build(Random(seed))).answer.plan is not None
    )
    monkeypatch.setattr(api, "faults", lambda *_: iter(["a fault"]))
    with pytest.raises(InternalError, match="a fault"):
        api.place(problem)


def with_one_slot_more(problem: Problem) -> Problem:
    """The same build with a further wide, undivided slot on its first board."""
    rig = problem.rigs[0]
    extra = Board.model_validate(
        {
            "id": "more",
            "processors": [processor.model_dump() for processor in rig.board.processors],
            "receptacles": [
                {"id": "extra", "form": "cem", "width": 16, "from": rig.board.processors[0].id,
                 "generation": 4, "lanes": 16, "splits": [], "power_w": 75, "open_end": False}
            ],
        }
    )  # fmt: skip
    more = expand(extra)
    board = rig.board.model_copy(
        update={
            "receptacles": (*rig.board.receptacles, *more.receptacles),
            "lane_groups": (*rig.board.lane_groups, *more.lane_groups),
        }
    )
    name = "extra" if len(problem.rigs) == 1 else f"{rig.id}/extra"
    site = Site(name, rig.id, on_board=True, receptacle=more.receptacles[0])
    rigs = (replace(rig, board=board), *problem.rigs[1:])
    return replace(problem, rigs=rigs, sites=(*problem.sites, site))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_slot_more_is_never_worse(seed: int) -> None:
    problem = small_build(Random(seed))
    before = values(api.place(problem).answer.plan)
    after = values(api.place(with_one_slot_more(problem)).answer.plan)
    if before is not None:
        assert after is not None
        assert after <= before
