"""
What is promised without knowing the processor holds with each that the board takes.

Held against the lanes contact by contact (tests/oracle/lanes.py), under the divisions as the file
of the board writes them: nothing of how slotfit puts classes together is used.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from itertools import product
from random import Random
from typing import Any

import pytest

from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.board import Arrangement, LaneGroup
from slotfit.model.plan import Placed, Plan, Status
from slotfit.model.problem import Problem
from tests.limits import SECONDS, mostly_long
from tests.oracle.lanes import laid_out, piece_at, width_of

CLASSES = ("plain", "graphics", "old")
GIVEN: tuple[list[int], ...] = ([16], [8], [8, 8], [4, 4, 4, 4], [8, 4, 4], [4], [])
LINKS = ("x16", "x8", "x4", "x8x8", "4x4")
SLOTS = ("slot1", "slot2", "slot3")


def group(dice: Random, name: str, slots: Sequence[str], classes: Sequence[str]) -> dict[str, Any]:
    """Lanes that are divided by class of processor, by hand, or both."""
    ways = []
    for _ in range(dice.randint(1, 4)):
        way: dict[str, Any] = {
            "gives": {slot: dice.choice(GIVEN) for slot in slots},
            "proof": "documented",
            "chosen_by": dice.choice(("fixed", "setting")),
        }
        if dice.random() < 0.8:
            needed = dice.sample(classes, dice.choice((1, 1, len(classes) - 1)))
            way["needs"] = {"processor": needed}
        ways.append(way)
    return {"id": name, "from": "cpu0", "generation": 4, "arrangements": ways}


def drawn(dice: Random, said: dict[str, Any]) -> str:
    """A build of cards in slots of which everything is known but, perhaps, the processor."""
    classes = CLASSES[: dice.randint(2, 3)]
    slots = SLOTS[: dice.randint(1, 3)]
    at = dice.choice((0, 1, len(slots)))
    groups = [
        group(dice, name, some, classes)
        for name, some in (("g1", slots[:at]), ("g2", slots[at:]))
        if some
    ]
    board = {
        "kind": "board",
        "id": "board",
        "processors": [{"id": "cpu0", "takes": list(classes)}],
        "lane_groups": groups,
        "receptacles": [{"id": slot, "form": "cem", "width": 16, "power_w": 75} for slot in slots],
    }
    parts = []
    for number in range(dice.randint(1, len(slots))):
        card: dict[str, Any] = {
            "kind": "part",
            "id": f"c{number}",
            "plug": "cem x16",
            "links": dice.choice(LINKS),
        }
        card |= {"generation": 4, "thickness": 1, "power": {"slot_w": 5}, "demand": 1}
        wish: dict[str, Any] = {"id": f"card{number}", "part": card}
        if dice.random() < 0.4:
            wish["min_lanes"] = dice.choice((4, 8, 16))
        parts.append(wish)
    machine = {"id": "loom", "board": board} | said
    return json.dumps({"kind": "build", "id": "b", "machines": [machine], "parts": parts})


def planned(number: int, said: dict[str, Any]) -> tuple[Problem, Placed]:
    """The build of that number, with this said of its processor."""
    text = drawn(Random(f"which processor {number}"), said)
    problem = load_build_text(text, Catalog(()))
    return problem, best_plan(problem, SECONDS)


def rests_on(plan: Plan) -> list[tuple[str, ...]]:
    """Classes of which the plan needs one, for each fact that it rests on."""
    return [dict(fact.told)["needed"] for fact in plan.facts if fact.rule == "LANE019"]


def with_one(group: LaneGroup, fitted: str) -> list[Arrangement]:
    """The divisions as written that are there with a class; none gives no lanes."""
    ways = [
        way
        for way in group.arrangements
        if way.needs is None or way.needs.processor is None or fitted in way.needs.processor
    ]
    return ways or [Arrangement(gives={})]


def worlds(problem: Problem, fitted: str) -> Iterator[dict[str, tuple[Any, ...]]]:
    """What each slot can get with a class, one division of each group at a time."""
    every = [with_one(group, fitted) for group in problem.machines[0].board.lane_groups]
    for ways in product(*every):
        yield {name: given for way in ways for name, given in way.gives.items()}


def keeps(problem: Problem, plan: Plan, given: dict[str, tuple[Any, ...]]) -> bool:
    """Whether every link is at least as wide as the plan says."""
    for seat in plan.seats:
        contacts = laid_out("port", "pcie", given.get(seat.receptacle, ()), "cem")
        links = zip(problem.part[seat.part].spec.links, seat.links, strict=True)
        if any(
            width_of(link, piece_at(link, contacts, "cem")) < told.lanes for link, told in links
        ):
            return False
    return True


@pytest.mark.parametrize("number", mostly_long(range(480), 10))
def test_what_is_said_holds_with_every_processor_that_it_does_not_rest_on(number: int) -> None:
    problem, answer = planned(number, {})
    takes = problem.machines[0].board.processors[0].takes
    if answer.plan is None:
        assert answer.status is Status.IMPOSSIBLE
        for fitted in takes:
            _, known = planned(number, {"processors": {"cpu0": fitted}})
            assert known.status is Status.IMPOSSIBLE
        return
    meant = [one for one in takes if all(one in needed for needed in rests_on(answer.plan))]
    assert meant, "it rests on two processors in one socket"
    for fitted in meant:
        assert any(keeps(problem, answer.plan, given) for given in worlds(problem, fitted))


def test_enough_of_these_builds_rest_on_something_and_enough_on_nothing() -> None:
    plans = [planned(number, {})[1].plan for number in range(0, 300, 5)]
    assert sum(plan is not None and bool(rests_on(plan)) for plan in plans) >= 8
    assert sum(plan is not None and not rests_on(plan) for plan in plans) >= 8
