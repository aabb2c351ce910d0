"""Two ends are pushed together, or cannot be: tests/cases/bench/mating.yaml, by hand."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.answers.place.plan import best_plan
from slotfit.engine.seats import hold, seat_all
from slotfit.engine.upstream import board_openings, nested_openings
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.model.reason import No
from slotfit.rulebook import SEAT_RULES
from slotfit.standards.forms import CABLED
from tests.limits import SECONDS

FILE = Path(__file__).parents[1] / "cases" / "bench" / "mating.yaml"

CAUSES = {
    "plugs": ("CAB002", "plugs"),
    "sockets": ("CAB002", "sockets"),
    "shape": ("FIT001", "form"),
    "own": ("NEST003", "own"),
}

HEADERS = {
    "slim4": ("slimsas-4", 4),
    "slim8": ("slimsas-8", 8),
    "mcio4": ("mcio-4", 4),
    "mcio8": ("mcio-8", 8),
    "mcio16": ("mcio-16", 16),
    "ocu": ("oculink-4", 4),
    "m2": ("m2-m", 4),
    "m2b": ("m2-b", 2),
    "m2e": ("m2-e", 2),
    "ocp": ("ocp3-sff", 16),
    "e3s0": ("e3s", 4),
    "u2_0": ("u2", 4),
}


@cache
def table() -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load(FILE.read_text("utf-8"))
    return found


def board() -> dict[str, Any]:
    slots = [
        {"id": f"slot{n}", "form": "cem", "width": 16, "lanes": 16, "generation": 4, "splits": []}
        for n in (1, 2)
    ]
    headers = [
        {"id": name, "form": form, "lanes": lanes, "generation": 4, "splits": []}
        for name, (form, lanes) in HEADERS.items()
    ]
    sata = {"id": "sata0", "form": "sata", "bus": "sata", "lanes": 1, "generation": 3}
    receptacles = [*slots, *headers, sata]
    return {
        "kind": "board",
        "id": "bench",
        "processors": [{"id": "cpu0"}],
        "receptacles": receptacles,
    }


def name_of(thing: str) -> str:
    return thing.replace(" ", "-")


def below(what: str, end: str) -> Iterator[str]:
    """The things that must be there, the one in hand included."""
    yield what.partition(":")[0]
    owner = end.partition("/")[0]
    if owner in (things := table()["things"]):
        for name in (owner, *things[owner].get("with", ())):
            yield from below(name, things[name]["in"])


def build(what: str, end: str) -> Problem:
    things = table()["things"]
    parts = [
        {
            "id": name_of(name),
            "part": {"kind": "part", "id": f"some-{name_of(name)}"}
            | {key: value for key, value in things[name].items() if key not in ("in", "with")},
        }
        for name in dict.fromkeys(below(what, end))
    ]
    machine = {"id": "m", "board": board(), "base_w": 50}
    said = {"kind": "build", "id": "case", "machines": [machine], "parts": parts}
    return load_build_text(yaml.safe_dump(said, sort_keys=False), Catalog(()), "case.yaml")


def objections(what: str, end: str) -> list[No]:
    """What the rules have against pushing the one onto the other, wherever the other sits."""
    problem, thing = build(what, end), name_of(what)
    receptacle, part = problem.receptacle[name_of(end)], problem.part[thing]
    if receptacle.on_board:
        ways = board_openings(problem, receptacle)
    else:
        owner = end.partition("/")[0]
        home = name_of(table()["things"][owner]["in"])
        every = seat_all(problem, SEAT_RULES).by_part[receptacle.owner]
        seats = [one for one in every if one.receptacle == home or ":" in one.part]
        assert seats, f"{receptacle.owner} is not even there"
        ways = nested_openings(problem.part[receptacle.owner], receptacle, seats)
    return [no for way in ways for no in hold(SEAT_RULES, problem, receptacle, part, way)[1]]


@pytest.mark.parametrize(("what", "end", "cause"), [tuple(row) for row in table()["never"]])
def test_what_no_hand_can_push_together_is_refused_for_the_true_cause(
    what: str, end: str, cause: str
) -> None:
    said = {(no.rule, no.case) for no in objections(what, end)}
    assert CAUSES[cause] in said
    others = {pair for pair in CAUSES.values() if pair != CAUSES[cause]}
    assert not said & others, "another cause beside the true one"


@pytest.mark.parametrize(("what", "end"), [tuple(row) for row in table()["goes"]])
def test_what_a_hand_can_push_together_goes(what: str, end: str) -> None:
    assert [no.text for no in objections(what, end)] == []


def test_the_table_has_sixty_that_never_go() -> None:
    rows = {tuple(row[:2]) for row in table()["never"]}
    assert len(rows) >= 60
    assert not rows & {tuple(row) for row in table()["goes"]}


TWO_CABLES = """
kind: build
id: case
machines: [{id: m, base_w: 50, board: {kind: board, id: b, processors: [{id: cpu0}], receptacles: [
  {id: slot1, form: cem, width: 8, lanes: 8, generation: 4, splits: []},
  {id: slot2, form: cem, width: 8, lanes: 8, generation: 4, splits: []}]}}]
parts:
  - {id: first, part: hba-8i-sas3, required: false}
  - {id: second, part: hba-8i-sas3, required: false}
  - {id: jumper, part: cable-8643-8643-800, count: 2, only: [%s]}
  - {id: breakout, part: cable-8643-4sas-500, count: 2, only: [%s]}
  - {id: disk, part: hdd-sas-3.5-7200, count: 8}
"""


def answer_to(jumpers: str, breakouts: str) -> Status:
    text = TWO_CABLES % (jumpers, breakouts)
    catalog = Catalog((Path(__file__).parents[2] / "catalog",))
    return best_plan(load_build_text(text, catalog, "case.yaml"), SECONDS).status


def test_breakouts_on_the_free_ends_of_other_cables_are_no_plan() -> None:
    ends = "jumper-1/end0, jumper-2/end0"
    assert answer_to("first/port0, second/port0", ends) is Status.IMPOSSIBLE


@pytest.mark.parametrize("form", CABLED)
def test_no_cable_ever_goes_onto_another_unless_its_end_is_a_socket(form: str) -> None:
    lanes = {"mcio-16": 16, "mcio-8": 8, "slimsas-8": 8}.get(form, 4)
    bus = "sas" if form in ("sff-8087", "sff-8088") else "pcie"
    for gender in (None, "plug", "socket"):
        end = {"id": "end0", "form": form, "bus": bus} | ({"gender": gender} if gender else {})
        cable: dict[str, Any] = {"kind": "part", "id": "cable", "class": "cable", "plug": form}
        cable["links"] = [{"lanes": lanes, "bus": bus}]
        parts = [
            {"id": "near", "part": cable | {"receptacles": [end]}},
            {"id": "far", "part": cable | {"receptacles": [{"id": "e", "form": form, "bus": bus}]}},
        ]
        header = {"id": "header", "form": form, "bus": bus, "lanes": lanes, "generation": 3}
        here = board() | {"receptacles": [header]}
        machine = {"id": "m", "board": here, "base_w": 50}
        said = {"kind": "build", "id": "case", "machines": [machine], "parts": parts}
        problem = load_build_text(json.dumps(said), Catalog(()), "case.yaml")
        found = seat_all(problem, SEAT_RULES).by_place["far", "near/end0"]
        assert bool(found) == (gender == "socket")
