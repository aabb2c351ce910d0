"""What the view says of empty receptacles, on seats chosen by hand."""

from __future__ import annotations

from pathlib import Path

import pytest

from slotfit.answers.place.answer import PlannedReceptacle
from slotfit.answers.place.plan import state_all
from slotfit.answers.place.receptacles import receptacles_of, rows_of
from slotfit.load.build_file import load_build
from slotfit.load.catalog import standard_catalog
from slotfit.model.keys import GroupKey
from slotfit.model.plan import Plan

BUILD = """
kind: build
id: states
machines:
  - id: box
    processors: [cpu0]
    chassis: {kind: chassis, id: case, openings: 5, card_length_mm: 300}
    board:
      kind: board
      id: board
      processors: [{id: cpu0}, {id: cpu1}]
      rows: [{id: rear, positions: 7}]
      lane_groups:
        - id: pe1
          from: cpu0
          generation: 4
          arrangements:
            - {gives: {slot1: [8], slot3: [8]}, setting: both}
            - {gives: {slot1: [16]}, setting: one}
      receptacles:
        - {id: slot1, form: cem, width: 16, row: rear, position: 0}
        - {id: slot2, form: cem, width: 8, row: rear, position: 1, from: cpu0, lanes: 8, splits: []}
        - {id: slot3, form: cem, width: 16, row: rear, position: 2}
        - {id: on, form: cem, width: 8, row: rear, position: 3, from: cpu1, lanes: 8, splits: [],
           powered_without_processor: true}
        - {id: off, form: cem, width: 8, row: rear, position: 4, from: cpu1, lanes: 8, splits: [],
           powered_without_processor: false}
        - {id: who, form: cem, width: 8, row: rear, position: 5, from: cpu1, lanes: 8, splits: []}
        - {id: guess, form: cem, width: 8, row: rear, position: 6, from: cpu0}
        - {id: m2, form: m2-m, from: cpu0, lanes: 4, splits: [], blocked_by: [slot1]}
        - {id: bare, form: cem, width: 4, lanes: 0}
parts:
  - {id: thick, part: {kind: part, id: thick, plug: cem x16, links: x16, thickness: 2}}
  - id: holder
    part:
      kind: part
      id: holder
      plug: cem x8
      links: 2x4
      generation: 4
      receptacles: [{id: a, form: m2-m}, {id: b, form: m2-m}]
"""


@pytest.fixture(scope="module")
def places(tmp_path_factory: pytest.TempPathFactory) -> dict[str, PlannedReceptacle]:
    """With `thick` in slot1, `holder` in slot3, and all sixteen lanes given to slot1."""
    file = Path(tmp_path_factory.mktemp("states")) / "build.yaml"
    file.write_text(BUILD, "utf-8")
    problem = load_build(file, standard_catalog(()))
    seating, _ = state_all(problem)
    seats = {(s.part, s.receptacle, len(s.arrangements)): s for s in (*seating.seats, *(
        refusal.seat for refusal in seating.refusals
    ))}  # fmt: skip
    chosen = [
        next(seat for (part, receptacle, _), seat in seats.items() if (part, receptacle) == pair)
        for pair in (("thick", "slot1"), ("holder", "slot3"))
    ]
    plan = Plan(tuple(chosen), {GroupKey("box", "pe1"): "pe1.2"})
    assert [
        (row.positions, row.openings, row.card_length_mm) for row in rows_of(problem, plan)
    ] == [(7, 5, 300.0)]
    return {place.site: place for place in receptacles_of(problem, plan)}


STATES = {
    "slot1": ("taken", ""),
    "slot2": ("covered", "thick covers it"),
    "slot3": ("taken", ""),
    "on": ("no lanes", "cpu1 is not fitted"),
    "off": ("unpowered", "cpu1 is not fitted"),
    "who": ("not known", "cpu1 is not fitted; nobody has said whether it has power"),
    "guess": ("free", ""),
    "m2": ("blocked", "thick is in its way"),
    "bare": ("free", "power and room only"),
}


@pytest.mark.parametrize(("receptacle", "expected"), STATES.items())
def test_a_receptacle_says_its_state_and_why(
    places: dict[str, PlannedReceptacle], receptacle: str, expected: tuple[str, str]
) -> None:
    assert (places[receptacle].state, places[receptacle].why) == expected


def test_lanes_are_those_of_the_arrangement_in_force(places: dict[str, PlannedReceptacle]) -> None:
    one = places["slot1"]
    assert (one.wired, one.segments, one.gets) == (16, ((0, 16, "pcie"),), "gen 4 x16")
    other = places["slot3"]
    assert (other.wired, other.segments, other.gets) == (8, (), "no lanes")


def test_wiring_that_nobody_has_said_is_marked(places: dict[str, PlannedReceptacle]) -> None:
    assert not places["guess"].lanes_known
    assert places["slot2"].lanes_known


def test_sockets_of_seated_parts_are_listed_under_them(
    places: dict[str, PlannedReceptacle],
) -> None:
    assert {p.site for p in places.values() if p.owner == "holder"} == {"holder/a", "holder/b"}
