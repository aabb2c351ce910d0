"""What each preference is for, in the words of whoever asks for a plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml

from slotfit import api
from slotfit.answers.place.plan import best_plan
from slotfit.hardware.flow import FLOWS
from slotfit.load.build_file import receptacles_on
from slotfit.model.build import DEFAULT_STAGES, BuildPart
from slotfit.model.part import Demand, Link, PartSpec, Plug, Power
from slotfit.model.plan import Plan
from slotfit.model.problem import Part, Problem
from tests.builds import small_build
from tests.limits import SECONDS
from tests.solve.looked_at import build_of

Facts = dict[str, Any]

MANY = [pytest.param(range(7)), pytest.param(range(7, 60), marks=pytest.mark.long)]
"""Builds of each theme, for those that are placed again."""


def slot(number: int, **said: Any) -> Facts:
    """A slot of sixteen lanes of generation 3."""
    facts = {"id": f"slot{number}", "form": "cem", "width": 16, "row": "row", "power_w": 75}
    lanes = {"position": number - 1, "from": "cpu0", "generation": 3, "lanes": 16, "splits": []}
    return facts | lanes | said


def card(name: str, lanes: int, **said: Any) -> Facts:
    """A required card of generation 3, one slot thick; `said` of the part."""
    facts = {"id": f"kind-{name}", "plug": "cem x16", "links": f"x{lanes}", "generation": 3}
    size = {"thickness": 1, "cooling": "none", "power": {"slot_w": 5}}
    return {"id": name, "part": facts | size | said}


def power_only(name: str) -> Facts:
    """A card that takes no lanes."""
    return card(name, 1, links=[])


def bare(number: int) -> Facts:
    """A slot whose lanes a lane group gives it."""
    lanes = ("from", "generation", "lanes", "splits")
    return {key: value for key, value in slot(number).items() if key not in lanes}


def group(*arrangements: Facts) -> Facts:
    """A lane group of the fitted processor."""
    return {"id": "port", "from": "cpu0", "generation": 3, "arrangements": [*arrangements]}


def plan_for(
    folder: Path, slots: list[Facts], parts: list[Facts], *groups: Facts, **said: Any
) -> Plan:
    """The best plan of one machine with one of two processors fitted."""
    board = {
        "id": "board",
        "kind": "board",
        "rows": [{"id": "row", "positions": len(slots)}],
        "processors": [{"id": "cpu0"}, {"id": "cpu1"}],
        "receptacles": slots,
        "lane_groups": [*groups],
    }
    machine = {"id": "tower", "board": board, "processors": ["cpu0"]}
    file = folder / "build.yaml"
    file.write_text(
        yaml.safe_dump({"kind": "build", "id": "b", "machines": [machine], "parts": parts, **said}),
        "utf-8",
    )
    plan = best_plan(api.load(file), SECONDS).plan
    assert plan is not None
    return plan


def places(plan: Plan) -> dict[str, str]:
    return {seat.part: seat.receptacle for seat in plan.seats}


def stage(plan: Plan, name: str) -> int:
    return next(one.value for one in plan.stages if one.stage == name)


HALVES = {"split": "x8x8", "setting": "halves", "proof": "menu-only"}
"""A slot that may be divided into halves, says a menu."""


def proven_and_untried() -> list[Facts]:
    """Four lanes that are there for certain, and eight that come with an untried setting."""
    wide = slot(2, lanes=16, splits=[HALVES])
    return [slot(1, lanes=4), wide]


def test_a_card_without_demand_stays_where_nothing_is_unproven(tmp_path: Path) -> None:
    two = card("nic", 8, links=[{"at": 8, "lanes": 8}, {"at": 0, "lanes": 4}])
    two["endpoints"] = 1
    plan = plan_for(tmp_path, proven_and_untried(), [two])
    assert places(plan) == {"nic": "slot1"}
    assert stage(plan, "unproven-facts") == 0


def test_a_stated_demand_is_worth_an_unproven_fact(tmp_path: Path) -> None:
    two = card("nic", 8, links=[{"at": 8, "lanes": 8}, {"at": 0, "lanes": 4}], demand=9)
    two["endpoints"] = 1
    plan = plan_for(tmp_path, proven_and_untried(), [two])
    assert places(plan) == {"nic": "slot2"}
    assert stage(plan, "unproven-facts") == 1


def test_the_stated_demand_of_a_required_card_comes_before_an_optional_card(
    tmp_path: Path,
) -> None:
    """The port's sixteen lanes serve both slots, or the first alone."""
    nic = card("nic", 16, demand=10)
    sound = card("sound", 1) | {"required": False, "weight": 9}
    whole = {"gives": {"slot1": [16]}, "chosen_by": "presence"}
    halves = {"gives": {"slot1": [8], "slot2": [8]}, "chosen_by": "presence"}
    plan = plan_for(tmp_path, [bare(1), bare(2)], [nic, sound], group(whole, halves))
    assert places(plan) == {"nic": "slot1"}


def test_a_weight_still_decides_between_optional_cards_whoever_states_a_demand(
    tmp_path: Path,
) -> None:
    heavy = card("heavy", 4) | {"required": False, "weight": 5}
    light = card("light", 4, demand=2) | {"required": False, "weight": 1}
    plan = plan_for(tmp_path, [slot(1)], [light, heavy])
    assert places(plan) == {"heavy": "slot1"}


def test_an_empty_switch_carrier_moves_nothing(tmp_path: Path) -> None:
    sockets = [{"id": name, "form": "m2-m", "lanes": 4} for name in ("m2a", "m2b")]
    carrier = card("carrier", 8, wiring="switch", receptacles=sockets)
    plan = plan_for(tmp_path, [slot(1, lanes=4)], [carrier])
    assert [stage(plan, name) for name in ("demand", "optional-demand", "bandwidth")] == [0, 0, 0]


@pytest.mark.parametrize("dead", ["processor not fitted", "division refuted"])
def test_a_power_only_card_takes_the_slot_that_can_carry_nothing(dead: str, tmp_path: Path) -> None:
    absent = dead == "processor not fitted"
    two = slot(2, powered_without_processor=True) | {"from": "cpu1"} if absent else bare(2)
    groups = () if absent else (group({"gives": {"slot2": [16]}, "proof": "refuted"}),)
    plan = plan_for(tmp_path, [slot(1), two], [power_only("p")], *groups)
    assert places(plan) == {"p": "slot2"}
    assert stage(plan, "reserve") == 0


def test_a_thick_body_does_not_cover_a_slot_that_could_carry_more(tmp_path: Path) -> None:
    thick = card("thick", 4, thickness=2)
    slots = [slot(1, lanes=4), slot(2, lanes=16), slot(3, lanes=4), slot(4, lanes=4)]
    plan = plan_for(tmp_path, slots, [thick])
    assert places(plan) == {"thick": "slot3"}


def test_an_accelerator_gets_the_lanes_that_a_power_only_card_would_hold(tmp_path: Path) -> None:
    gpu = card("z-gpu", 16, demand=2)
    plan = plan_for(tmp_path, [slot(1), slot(2, lanes=8)], [power_only("expander"), gpu])
    assert places(plan) == {"z-gpu": "slot1", "expander": "slot2"}
    assert stage(plan, "spare-lanes") == 0


def test_a_card_that_must_come_out_is_a_move(tmp_path: Path) -> None:
    nic = card("nic", 4)
    sound = card("sound", 1) | {"required": False}
    plan = plan_for(tmp_path, [slot(1)], [nic, sound], today={"sound": "slot1"})
    assert places(plan) == {"nic": "slot1"}
    assert stage(plan, "moves") == 1


def test_a_card_of_a_machine_that_is_not_planned_may_stay_there(tmp_path: Path) -> None:
    nic = card("nic", 4)
    sound = card("sound", 1) | {"required": False}
    plan = plan_for(tmp_path, [slot(1)], [nic, sound], today={"sound": "attic/slot3"})
    assert stage(plan, "moves") == 0


# --- the same of any build ------------------------------------------------------------------------


def as_read(problem: Problem, dice: Random) -> Problem:
    """The build as a machine tells of itself: no demands, and not every rate."""
    machines = []
    for machine in problem.machines:
        groups = tuple(
            one.model_copy(update={"generation": dice.choice((None, 3, one.generation))})
            for one in machine.board.lane_groups
        )
        board = machine.board.model_copy(update={"lane_groups": groups})
        machines.append(replace(machine, board=board))
    parts = tuple(
        replace(moving(part, None), spec=part.spec.model_copy(update={"demand": None}))
        for part in problem.parts
    )
    return replace(problem, machines=tuple(machines), parts=parts, preferences=DEFAULT_STAGES)


def moving(part: Part, demand: Demand | None) -> Part:
    """The part with another demand in the build file."""
    return replace(part, wish=part.wish.model_copy(update={"demand": demand}))


@pytest.mark.parametrize("numbers", MANY)
def test_a_rate_that_nobody_stated_never_costs_an_unproven_fact(numbers: range) -> None:
    """Whether nobody has said what parts move, or that they move nothing: as few facts."""
    for theme, number in product(("unknown", "riser", "switch"), numbers):
        problem = as_read(build_of(theme, number), Random(f"{theme} {number}"))
        still = replace(problem, parts=tuple(moving(part, Demand()) for part in problem.parts))
        plan, other = (best_plan(one, SECONDS).plan for one in (problem, still))
        assert len(plan.facts if plan else ()) == len(other.facts if other else ())


@pytest.mark.parametrize("numbers", MANY)
def test_no_switch_or_controller_with_nothing_on_it_is_short_of_anything(numbers: range) -> None:
    """Of builds with such parts each of them is placed without all the others."""
    seen = 0
    for theme, number in product(("switch", "storage", "expander", "carriers"), numbers):
        problem = build_of(theme, number)
        for part in problem.parts:
            sockets = [one for one in part.spec.receptacles if one.form != "cooling-mount"]
            if part.companion_of or not sockets or part.spec.wiring == "passive":
                continue
            spec = part.spec.model_copy(update={"demand": None, "power": None})
            plan = best_plan(of_one(problem, Part(part.id, spec, asking(part.id))), SECONDS).plan
            if plan is not None:
                seen += 1
                assert [stage(plan, flow) for flow in FLOWS] == [0, 0, 0]
    assert seen > len(numbers)


def test_every_installed_part_that_is_not_where_it_was_moves() -> None:
    """Parts in the machines' own slots; machines that are retired may keep theirs."""
    left_out = 0
    for theme, number in product(("today", "optional", "machines"), range(12)):
        dice = Random(f"{theme} {number} moves")
        problem = small_build(dice, theme)
        homes = [one for one in problem.receptacles if one.on_board]
        dice.shuffle(homes)
        parts = [part for part in problem.parts if not part.companion_of]
        today = {part.id: one.id for part, one in zip(parts, homes, strict=False)}
        optional = tuple(
            replace(part, wish=part.wish.model_copy(update={"required": False}))
            for part in problem.parts
        )
        asked = replace(problem, today=today, parts=optional, preferences=DEFAULT_STAGES)
        plan = best_plan(asked, SECONDS).plan
        assert plan is not None
        now = places(plan)
        stays = {one.id for one in homes if one.owner not in problem.retire}
        gone = [part for part, home in today.items() if part not in now and home in stays]
        moved = [part for part, home in today.items() if now.get(part, home) != home]
        left_out += len(gone)
        assert stage(plan, "moves") == len(gone) + len(moved)
    assert left_out > 5


def test_a_slot_that_can_carry_nothing_is_worth_nothing_kept_free() -> None:
    """A card without links takes something exactly where one with a link would train."""
    live = dead = 0
    slots = [(p, one) for p in darkened() for one in p.receptacles if one.on_board]
    for problem, receptacle in slots:
        if receptacle.spec.form == "cem":
            trains = reserve_at(problem, receptacle.id, WIRED) is not None
            taken = reserve_at(problem, receptacle.id, PROBE)
            if taken is not None:
                assert (taken > 0) == trains
                live, dead = live + trains, dead + (not trains)
    assert live > 10
    assert dead > 5


def darkened() -> Iterator[Problem]:
    """Builds with one processor of two, in which some divisions are known not to work."""
    for number, theme in product(range(6), ("processors", "lanes")):
        problem, dice = build_of(theme, number), Random(f"{theme} {number} dark")
        (machine,) = problem.machines
        groups = tuple(
            one.model_copy(
                update={
                    "arrangements": tuple(
                        way.model_copy(update={"proof": dice.choice(("seen", "refuted"))})
                        for way in one.arrangements
                    )
                }
            )
            for one in machine.board.lane_groups
        )
        board = machine.board.model_copy(update={"lane_groups": groups})
        entry = machine.entry.model_copy(update={"processors": ("cpu0",)})
        powered = {"powered_without_processor": True}
        receptacles = tuple(
            replace(one, spec=one.spec.model_copy(update=powered)) if one.on_board else one
            for one in problem.receptacles
        )
        changed = replace(machine, board=board, entry=entry)
        yield replace(problem, machines=(changed,), receptacles=receptacles)


def of_one(problem: Problem, part: Part) -> Problem:
    """The machines with nothing but one part."""
    own = tuple(one for one in problem.receptacles if one.on_board)
    return replace(
        problem,
        parts=(part,),
        receptacles=(*own, *receptacles_on(part)),
        preferences=DEFAULT_STAGES,
        together=(),
        apart=(),
        today={},
        retire=(),
    )


def asking(name: str, pin: str | None = None) -> BuildPart:
    """A required part, perhaps held to one receptacle."""
    return BuildPart(id=name, part=name, pin=pin)


def reserve_at(problem: Problem, receptacle: str, spec: PartSpec) -> int | None:
    """What a part takes in a receptacle; None: it cannot be there."""
    part = Part(spec.id, spec, asking(spec.id, receptacle))
    plan = best_plan(of_one(problem, part), SECONDS).plan
    return None if plan is None else stage(plan, "reserve")


PROBE = PartSpec(
    id="probe",
    plug=Plug(form="cem", width=1),
    thickness=1,
    cooling="none",
    bracket="none",
    power=Power(slot_w=1),
    length_mm=60,
    height_mm=60,
)
"""A card that nothing refuses for its size or power."""

WIRED = PROBE.model_copy(update={"links": (Link(lanes=1),), "generation": 4})
"""The same with a link."""
