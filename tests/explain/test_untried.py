"""What a way out names without having tried it has passed all that can be counted."""

from __future__ import annotations

from pathlib import Path

import pytest

from slotfit import api
from slotfit.answers.no_plan.answer import WayOut, WayOutStep
from slotfit.answers.no_plan.shop import Shop
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog, standard_catalog
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec
from tests.explain.test_kinds_of_way_out import CASES, shop, text_of
from tests.limits import SECONDS, mostly_long
from tests.oracle.alone import draw_w, tails
from tests.oracle.whole import all_plugged

NEEDS_PLUGS = """id: b
machines:
- {id: box, board: workstation, chassis: tower-large, power_supply: supply-550w, base_w: 150}
parts:
- {id: accel, part: accel-fan-320w-gen4}
- {id: more, part: accel-fan-250w}
"""

OTHER_BOARD = """id: b
machines:
- {id: box, board: server-2p, chassis: rack-2u-low-profile, power_supply: supply-server-1600w-pair}
parts:
- {id: accel, part: accel-fan-250w}
"""


def check_supply(way: WayOut, name: str) -> None:
    """Its watts and plugs do for what must be placed; every build here has one machine."""
    supply = shop().catalog.look_up(name, PowerSupply).entity
    (machine,) = way.placed.problem.machines
    must = [part.spec for part in way.placed.problem.parts if part.wish.required]
    assert supply is not None
    assert supply.watts - (machine.entry.base_w or 0) >= sum(map(draw_w, must)), name
    if supply.plugs is not None:
        plugs: list[str] = [plug for plug, count in supply.plugs.items() for _ in range(count)]
        powers = [spec.power for spec in must if spec.power]
        sockets = [(str(one), tails(power, one)) for power in powers for one in power.aux]
        assert all_plugged(sockets, plugs)


def check_chassis(way: WayOut, name: str) -> None:
    """It has stand-offs for the board."""
    chassis = shop().catalog.look_up(name, Chassis).entity
    (machine,) = way.placed.problem.machines
    assert chassis is not None
    assert chassis.sizes is None or machine.board.size in (None, *chassis.sizes), name


CHECKS = {"supply": check_supply, "chassis": check_chassis}


def ways_of(text: str) -> tuple[list[WayOut], list[tuple[WayOutStep, ...]]]:
    problem = load_build_text(text, shop().catalog)
    told = api.explain(problem, shop(), ways=20, seconds=SECONDS)
    return told.found.ways, told.found.more


def check_others(text: str) -> set[str]:
    """The kinds of things that are named besides."""
    found = set()
    for way in ways_of(text)[0]:
        for step in way.steps:
            for name in step.others if step.kind in CHECKS else ():
                CHECKS[step.kind](way, name)
                found.add(step.kind)
    return found


@pytest.mark.parametrize("text", [NEEDS_PLUGS, OTHER_BOARD], ids=["supply", "chassis"])
def test_what_is_named_besides_could_do_as_far_as_can_be_counted(text: str) -> None:
    assert check_others(text)


@pytest.mark.parametrize("name", mostly_long(CASES, 8))
def test_so_it_is_in_every_kind(name: str) -> None:
    if "id: other" not in text_of(CASES[name]):  # one machine, for the sum above
        check_others(text_of(CASES[name]))


def test_what_was_not_worked_out_names_nothing_to_choose() -> None:
    problem = load_build_text(NEEDS_PLUGS, shop().catalog)
    told = api.explain(problem, shop(), ways=1, seconds=SECONDS)
    steps = [step for steps in told.found.more for step in steps if step.kind == "supply"]
    assert all(step.text == "give box another power supply" for step in steps)


def test_what_lint_calls_impossible_is_not_for_sale(tmp_path: Path) -> None:
    sound = "kind: part\nclass: network-card\nplug: cem x8\nlinks: x8\ngeneration: 3\n"
    (tmp_path / "sound.yaml").write_text(f"{sound}id: sound\nthickness: 1\nheight_mm: 111.15\n")
    (tmp_path / "odd.yaml").write_text(f"{sound}id: odd\nthickness: 1\nheight_mm: 1111.5\n")
    found = Shop(Catalog((tmp_path,))).parts("network-card")
    assert [part.id for part in found] == ["sound"]
    assert all(isinstance(part, PartSpec) for part in found)
    assert standard_catalog()
