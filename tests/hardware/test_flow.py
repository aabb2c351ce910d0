"""
What parts move and links carry, in MB/s each way, against figures worked out by hand.

Usable rates: published ones of drives and adapters, as quoted, document not kept.
"""

from __future__ import annotations

from random import Random
from typing import Any

import pytest

from slotfit.answers.place.plan import best_plan
from slotfit.hardware.flow import capacity, carries, could_carry, demand_of, makes_lanes, met, rate
from slotfit.model.build import BuildPart
from slotfit.model.part import Demand, Link, PartReceptacle, PartSpec, Plug
from slotfit.model.problem import Part
from slotfit.model.seat import Seat, Trained, Upstream
from slotfit.model.words import Wiring
from tests.limits import SECONDS
from tests.rules.tables import problem_of


def trained(lanes: int, generation: int | None = 3, bus: str = "pcie", able: int = 3) -> Trained:
    return Trained(0, lanes, generation, 8, able, bus)


def part(spec: PartSpec, demand: Demand | None = None) -> Part:
    return Part("item", spec, BuildPart(id="item", part="card", demand=demand))


def card(wiring: Wiring = "controller", *receptacles: PartReceptacle, **said: float) -> PartSpec:
    demand = Demand(in_gb_s=said["in_"], out_gb_s=said["out"]) if said else None
    return PartSpec(
        id="card",
        plug=Plug(form="cem", width=8),
        links=(Link(lanes=8),),
        wiring=wiring,
        receptacles=receptacles,
        demand=demand,
    )


PORT = PartReceptacle(id="port0", form="sff-8643", bus="sas", lanes=4)
MOUNT = PartReceptacle(id="fan", form="cooling-mount")
SEAT = Seat("item@slot", "item", "slot", Upstream("tower"), links=(trained(8),))


def test_what_a_link_carries() -> None:
    """4 lanes of generation 3: 3.5 GB/s; SAS-3: 1.05 to 1.1 GB/s a lane (both as quoted)."""
    assert carries(trained(4)) == pytest.approx(3500, rel=0.03)
    assert 4200 <= carries(trained(4, bus="sas")) <= 4400
    assert carries(trained(1, bus="usb")) == 0
    assert carries(trained(0)) == 0


def test_a_link_of_unknown_rate_carries_what_the_part_could() -> None:
    assert carries(trained(8, generation=None, able=4)) == carries(trained(8, generation=4))


def test_where_no_rate_is_known_the_slowest_counts() -> None:
    unknown = Trained(0, 8, None, 8, None, "pcie")
    assert carries(unknown) == rate("pcie", 1, 8)
    assert could_carry(unknown) == 0


def test_what_nobody_said_is_all_that_the_links_could_carry() -> None:
    """An x8 card of generation 3 in a slot wired for four still asks for eight lanes' worth."""
    narrow = Seat("item@slot", "item", "slot", Upstream("tower"), links=(trained(4),))
    full = rate("pcie", 3, 8)
    assert demand_of(part(card()), narrow, serves=False) == (full, full)
    assert met((full, full), capacity(narrow)) == (rate("pcie", 3, 4), rate("pcie", 3, 4))


def test_the_build_files_word_on_demand_goes_first() -> None:
    said = card(in_=2.5, out=0.5)
    assert demand_of(part(said), SEAT, serves=False) == (2500, 500)
    wished = Demand(in_gb_s=1, out_gb_s=0)
    assert demand_of(part(said, wished), SEAT, serves=False) == (1000, 0)


def test_a_controller_that_serves_others_moves_what_they_move() -> None:
    assert demand_of(part(card("controller", PORT, in_=2.0, out=2.0)), SEAT, True) == (0, 0)
    assert demand_of(part(card("controller", PORT, in_=2.0, out=2.0)), SEAT, False) == (2000, 2000)


def test_a_place_for_a_fan_makes_no_lanes() -> None:
    assert makes_lanes(part(card("controller", PORT, MOUNT)))
    assert not makes_lanes(part(card("controller", MOUNT)))
    assert not makes_lanes(part(card("passive", PORT)))
    assert not makes_lanes(part(card("controller")))


FOUR_LANES = rate("pcie", 3, 4)


@pytest.mark.parametrize(
    ("each_gb_s", "lost"),
    [
        (1, 0),
        (1.5, 3000 - (FOUR_LANES - 1000)),  # the switch lets all through, the chipset does not
        (3, 6000 - (FOUR_LANES - 1000)),  # what the switch holds back never gets to the chipset
    ],
)
def test_what_is_lost_below_is_not_lost_again_above(each_gb_s: float, lost: int) -> None:
    """Two drives on a switch of four lanes, below a chipset of four that is busy with 1 GB/s."""
    drives = {"like": "drive", "count": 2, "demand": {"in_gb_s": each_gb_s, "out_gb_s": 0}}
    chipset = {"id": "chipset", "from": "cpu0", "generation": 3, "lanes": 4, "background_gb_s": 1}
    asked = problem_of(
        {
            "board": {"hubs": [chipset]},
            "slot1": {"from": "chipset", "generation": 3, "lanes": 4},
            "parts": {"tray": {"like": "switch-carrier"}, "drive": drives},
        }
    )
    plan = best_plan(asked, SECONDS).plan
    assert plan is not None
    assert {stage.stage: stage.value for stage in plan.stages}["bandwidth"] == lost


@pytest.mark.parametrize("seed", range(12))
def test_what_a_sata_disk_misses_behind_an_expander_is_what_six_gigabits_do_not_carry(
    seed: int,
) -> None:
    """6 Gb/s a lane up (as quoted) unless it buffers: what is left of them is `rate` of SAS-2."""
    dice = Random(f"sata behind an expander {seed}")
    lanes, disks, buffers = dice.randint(1, 4), dice.randint(1, 8), dice.choice((True, False, None))
    bays = [
        {"id": f"bay{n}", "form": "sas", "bus": "sas", "lanes": 1, "generation": 3, "bay": "3.5"}
        for n in range(disks)
    ]
    plane: dict[str, Any] = {
        "class": "backplane",
        "plug": "sff-8643",
        "links": [{"lanes": lanes, "bus": "sas"}],
    }
    plane |= {"generation": 3, "wiring": "switch", "buffers": buffers, "receptacles": bays}
    plane |= dict.fromkeys(("length_mm", "height_mm", "thickness", "bracket"))
    end = {"id": "end0", "form": "sff-8643", "bus": "sas"}
    cable = {"like": "cable", "plug": "sff-8643", "links": [{"lanes": 4, "bus": "sas"}]}
    disk = {
        "like": "disk",
        "count": disks,
        "machine": "tower",
        "only": [f"plane/{b['id']}" for b in bays],
    }
    asked = problem_of(
        {
            "slot1": {},
            "parts": {
                "hba": {"like": "hba"},
                "cable": cable | {"generation": 3, "receptacles": [end]},
                "plane": plane,
                "disk": disk,
            },
        }
    )
    plan = best_plan(asked, SECONDS).plan
    assert plan is not None
    carried = rate("sas", 3 if buffers else 2, lanes)
    missing = 2 * max(0, disks * rate("sata", 3, 1) - carried)
    assert {stage.stage: stage.value for stage in plan.stages}["bandwidth"] == missing
