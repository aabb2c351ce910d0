"""Two cables to one controller make one wide port; SAS rates as quoted in standards/storage.py."""

from __future__ import annotations

import pytest

from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.errors import InputError
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.plan import Plan, Status
from tests.limits import SECONDS

PORT = "form: sff-8643, bus: sas, lanes: 4, generation: 3"
UP = "plug: sff-8643, links: [{lanes: 4, bus: sas}], generation: 3"
SLOT = "form: cem, width: 8, from: cpu0, generation: 4, lanes: 8, splits: [], power_w: 25"
CABLE = (
    "{id: c, class: cable, plug: sff-8643, links: [{lanes: 4, bus: sas}], reach_mm: 500, "
    "receptacles: [{id: end, form: sff-8643, bus: sas}]}"
)
SHELF = (
    "{id: shelf, plug: sff-8643, links: [{lanes: 4, bus: sas}], generation: 3, demand: 4.0, "
    "power: {slot_w: 0}}"
)


def build(second: str, adapters: int = 1) -> str:
    """Two shelves of 4 GB/s each behind an expander; `second` is its second plug, if any."""
    return f"""
id: b
machines:
  - id: m
    board:
      id: board
      processors: [{{id: cpu0}}]
      receptacles:
        - {{id: slot1, {SLOT}}}
        - {{id: slot2, {SLOT}}}
        - {{id: slot3, {SLOT}}}
parts:
  - id: hba
    count: {adapters}
    part: {{id: hba, plug: cem x8, links: x8, generation: 4, thickness: 1, wiring: controller,
           power: {{slot_w: 10}}, receptacles: [{{id: p0, {PORT}}}, {{id: p1, {PORT}}}]}}
  - {{id: cable, count: 2, part: {CABLE}}}
  - id: expander
    part: {{id: exp, plug: cem x4, links: [], thickness: 1, wiring: switch, power: {{slot_w: 10}},
           receptacles: [{{id: d0, {PORT}}}, {{id: d1, {PORT}}}],
           extra_plugs: [{{id: up, {UP}, feeds: [d0, d1]}}{second}]}}
  - {{id: shelf, count: 2, part: {SHELF}, only: [expander/d0, expander/d1]}}
"""


WIDE = f", {{id: up2, {UP}, joins: up}}"


def placed(text: str) -> Plan:
    found = best_plan(load_build_text(text, Catalog(())), SECONDS)
    assert found.status is Status.PROVEN
    assert found.plan is not None
    assert answer_of(found)
    return found.plan


@pytest.mark.parametrize(("second", "short"), [("", 2 * (8000 - 4322)), (WIDE, 0)])
def test_a_wide_port_carries_what_its_lanes_carry_together(second: str, short: int) -> None:
    """SAS-3: 4800 x 1024 / 1120 x 0.985 MB/s over four lanes, twice that over eight; both ways."""
    plan = placed(build(second))
    assert next(stage.value for stage in plan.stages if stage.stage == "bandwidth") == short


def test_both_plugs_lead_to_one_controller() -> None:
    seats = {seat.part: seat for seat in placed(build(WIDE, adapters=2)).seats}
    assert seats["expander:up"].upstream.hops[0] == seats["expander:up2"].upstream.hops[0]


@pytest.mark.parametrize(
    ("second", "words"),
    [
        (f", {{id: up2, {UP}, joins: nobody}}", "nobody"),
        (f", {{id: up2, {UP}, joins: up2}}", "up2"),
        (f", {{id: up2, {UP}, joins: up, feeds: [d1]}}", "what a wide port feeds is said of up"),
    ],
)
def test_what_cannot_be_is_told(second: str, words: str) -> None:
    with pytest.raises(InputError) as told:
        load_build_text(build(second), Catalog(()))
    assert words in str(told.value)
