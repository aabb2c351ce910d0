"""
Each kind of way out, in a build that it gets out of: it is offered, and not where it is ruled out.

What gets out of each is read off the catalog's own files: more plugs, a switch, a thinner card.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import pytest

from slotfit import api
from slotfit.answers.no_plan.explain import Findings
from slotfit.answers.no_plan.give_up import BY_ID
from slotfit.answers.no_plan.shop import Shop
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import standard_catalog
from tests.limits import SECONDS


@dataclass(frozen=True)
class Case:
    """A build that does not fit, and a way out of it."""

    kind: str
    says: str
    """Part of the step's words."""
    machine: str
    parts: tuple[str, ...]
    closed_by: str
    """What to call untouchable so that it is not offered."""
    more: str = ""


TOWER = "board: workstation, chassis: tower-large, power_supply: supply-1000w, base_w: 150"
SERVER = (
    "board: server-2p, chassis: tower-server, power_supply: supply-server-1600w-pair, base_w: 400"
)
DESK = "board: desktop-small, chassis: tower-mid, power_supply: supply-550w, base_w: 150"
LARGE = "board: desktop-small, chassis: tower-large, power_supply: supply-1000w, base_w: 150"
TWO = f"{DESK}}}\n- {{id: other, {TOWER}"

# Boards of one slot, so that nothing but what is said of that slot stands in the way.
ONE_SLOT = (
    "board: {kind: board, id: flat, size: atx, processors: [{id: cpu0}, {id: cpu1, label: CPU2}], "
    "rows: [{id: rear, positions: 4}], receptacles: ["
    "{id: slot1, form: cem, row: rear, position: 0, generation: 4, splits: [], power_w: 25, %s}, "
    "{id: opening1, form: opening, row: rear, position: 2}, "
    "{id: sas0, form: sff-8643, bus: sas, from: cpu0, generation: 3, lanes: 4, run_mm: 300}]}, "
    "processors: [cpu0], chassis: tower-large, power_supply: supply-1000w, base_w: 100"
)
OPEN_ENDED = ONE_SLOT % "width: 4, lanes: 4, from: cpu0, open_end: true, behind_mm: 20"
UNPOWERED = ONE_SLOT % "width: 8, lanes: 8, from: cpu1, powered_without_processor: false"
EXPANDER = ("id: expander, part: sas-expander-24-sas3", "id: cable, part: cable-8643-8643-800")

CASES = {
    "bracket": Case(
        "bracket",
        "fit a low-height bracket to nic",
        "board: server-2p, chassis: rack-2u-low-profile, power_supply: supply-server-1600w-pair",
        (
            (
                "id: nic, part: {id: low, class: network-card, plug: cem x8, links: x8, "
                "generation: 3, thickness: 1, length_mm: 167.65, height_mm: 68.9, bracket: full, "
                "power: {slot_w: 9}}"
            ),
        ),
        "nic",
    ),
    "pin": Case(
        "place",
        "let nic go elsewhere than into slot3",
        TOWER,
        ("id: nic, part: nic-10g-2p, pin: slot3", "id: hba, part: hba-8i-sas3, pin: slot3"),
        "nic",
    ),
    "ban": Case(
        "place",
        "go into slot1 or slot3 after all",
        DESK,
        ("id: accelerator, part: accel-fan-75w, ban: [slot1, slot3]",),
        "accelerator",
    ),
    "near": Case(
        "near",
        "let hba hang on another processor than cpu1",
        f"{SERVER}, processors: [cpu0]",
        ("id: hba, part: hba-8i-sas3, near: cpu1, must_be_near: true",),
        "hba",
    ),
    "processors": Case(
        "processors",
        "fit CPU2 in box",
        f"{SERVER}, processors: [cpu0]",
        ("id: hba, part: hba-8i-sas3, near: cpu1, must_be_near: true",),
        "processors",
    ),
    "machine": Case(
        "machine",
        "put card into other instead of box",
        TWO,
        (
            "id: card, part: accel-fan-250w, machine: box",
            "id: more, part: accel-fan-250w, machine: box",
        ),
        "machine",
    ),
    "lanes": Case(
        "lanes",
        "accept x8 for nic instead of x16",
        DESK,
        ("id: nic, part: nic-25g-2p, min_lanes: 16",),
        "nic",
    ),
    "endpoints": Case(
        "endpoints",
        "accept that 2 of the 4 endpoints asked of scans stay dark",
        DESK,
        ("id: scans, part: carrier-m2x4-gen4, endpoints: 4",),
        "scans",
    ),
    "switch for passive": Case(
        "other-part",
        "use carrier-switch-m2x4",
        DESK,
        ("id: scans, part: carrier-m2x4-gen4, endpoints: 4",),
        "buy",
    ),
    # An x16 edge is 50 mm longer than an x4 slot, an x8 edge 17 mm (open drawing of card
    # outlines, measured).
    "shorter edge over an open end with 20 mm clear": Case(
        "other-part",
        "use nic-100g-1p-gen4-x8 for nic",
        OPEN_ENDED,
        ("id: nic, part: nic-100g-1p",),
        "buy",
    ),
    # A slot of an absent processor may have no power (slot tables of server manuals, as quoted).
    "plug for a slot without power": Case(
        "other-part", "use sas-expander-24-sas3-plug for expander", UNPOWERED, EXPANDER, "buy"
    ),
    "processor for a slot without power": Case(
        "processors", "fit CPU2 in box", UNPOWERED, EXPANDER, "processors"
    ),
    "plug for slot": Case(
        "other-part",
        "use sas-expander-24-sas3-plug for expander",
        DESK,
        (
            "id: hba, part: hba-8i-sas3",
            "id: expander, part: sas-expander-24-sas3, only: [slot3, opening1]",
            "id: cable, part: cable-8643-8643-800",
            "id: nic, part: nic-2.5g-1p, pin: slot3",
        ),
        "buy",
    ),
    "cable": Case(
        "more",
        "add cable-8643-8643-800",
        TOWER,
        ("id: hba, part: hba-8i-sas3", "id: expander, part: sas-expander-24-sas3"),
        "buy",
    ),
    "air": Case(
        "more",
        "mounted on accelerator",
        SERVER,
        ("id: accelerator, part: accel-passive-250w",),
        "buy",
    ),
    "supply": Case(
        "supply",
        "give box another power supply",
        DESK,
        ("id: accelerator, part: accel-fan-320w-gen4",),
        "buy",
    ),
    "chassis": Case(
        "chassis",
        "give box another chassis",
        "board: workstation, chassis: tower-mini, power_supply: supply-1000w, base_w: 150",
        ("id: nic, part: nic-10g-2p",),
        "machine",
    ),
    "board": Case(
        "board",
        "give box another board",
        LARGE,
        tuple(f"id: nic-{n}, part: nic-25g-2p, min_lanes: 8" for n in range(3)),
        "board",
    ),
    "leave out": Case(
        "leave-out",
        "leave out 2 of nic-1 to nic-3",
        DESK,
        tuple(f"id: nic-{n}, part: nic-25g-2p, min_lanes: 8" for n in (1, 2, 3)),
        "nic-2",
    ),
    "together": Case(
        "group",
        "let hba and nic be on different processors",
        SERVER,
        (
            "id: hba, part: hba-8i-sas3, near: cpu0, must_be_near: true",
            "id: nic, part: nic-10g-2p, near: cpu1, must_be_near: true",
        ),
        "nic",
        "together: [{parts: [hba, nic], by: processor}]",
    ),
    "apart": Case(
        "group",
        "let hba and nic share a machine",
        TOWER,
        ("id: hba, part: hba-8i-sas3", "id: nic, part: nic-10g-2p"),
        "hba",
        "apart: [{parts: [hba, nic]}]",
    ),
    "guest": Case(
        "guest",
        "hand nic to guest red instead of the host",
        DESK,
        (
            "id: card, part: capture-hd-1p, guest: red, only: [slot2, slot3]",
            "id: nic, part: nic-2.5g-1p, only: [slot2, slot3]",
        ),
        "nic",
    ),
    "retired": Case(
        "machine",
        "keep box in service",
        TWO,
        ("id: nic, part: nic-10g-2p, machine: box",),
        "machine",
        "retire: [box]",
    ),
}


@cache
def shop() -> Shop:
    return Shop(standard_catalog())


def text_of(case: Case, untouchable: str = "") -> str:
    """The build file."""
    parts = "\n".join(f"- {{{part}}}" for part in case.parts)
    text = f"id: b\nmachines:\n- {{id: box, {case.machine}}}\nparts:\n{parts}\n{case.more}\n"
    return text + (f"untouchable: [{untouchable}]\n" if untouchable else "")


def explained(case: Case, untouchable: str = "") -> Findings:
    problem = load_build_text(text_of(case, untouchable), shop().catalog)
    return api.explain(problem, shop(), ways=40, seconds=SECONDS)


def offered(told: Findings, case: Case) -> list[str]:
    """Single steps of the kind with the words."""
    steps = [way.steps[0] for way in told.found.ways if len(way.steps) == 1]
    return [step.text for step in steps if step.kind == case.kind and case.says in step.text]


@pytest.mark.parametrize("name", CASES)
def test_it_is_offered_and_gives_a_plan(name: str) -> None:
    told = explained(CASES[name])
    assert told.clashes
    assert offered(told, CASES[name]), [[s.text for s in way.steps] for way in told.found.ways]
    assert all(way.placed.plan for way in told.found.ways)


@pytest.mark.parametrize("name", CASES)
def test_it_is_not_offered_where_it_is_ruled_out(name: str) -> None:
    case = CASES[name]
    told = explained(case, case.closed_by)
    assert told.clashes
    assert not offered(told, case)


def test_every_kind_has_a_case() -> None:
    assert {case.kind for case in CASES.values()} == set(BY_ID)


def test_without_a_shop_nothing_is_bought() -> None:
    case = CASES["switch for passive"]
    parts = f"- {{{case.parts[0]}}}"
    text = f"id: b\nmachines:\n- {{id: box, {case.machine}}}\nparts:\n{parts}\n"
    told = api.explain(load_build_text(text, shop().catalog), ways=40, seconds=SECONDS)
    kinds = {step.kind for way in told.found.ways for step in way.steps}
    assert kinds == {"endpoints"}


def test_a_chassis_and_a_supply_are_found_together() -> None:
    # The card is 250 W, two full-height slots thick, with a 6-pin and an 8-pin socket. Of the
    # catalog's supplies the first that are larger lack watts or plugs, and of its chassis the first
    # that are like the old one take low brackets or have no second opening.
    case = Case(
        "supply",
        "",
        "board: workstation, chassis: rack-2u-low-profile, power_supply: supply-350w-flex, "
        "base_w: 200",
        ("id: accel, part: accel-fan-250w", "id: nic, part: nic-25g-2p"),
        "",
    )
    told = explained(case)
    kinds = [{step.kind for step in way.steps} for way in told.found.ways]
    assert {"chassis", "supply"} in kinds, kinds
