"""
What lint says is not known is what the rules doubt, and the other way round.

A small machine of which everything is said: lint misses nothing and no rule doubts. Take one fact
out, and lint names it together with the rule; that rule, asked alone, then doubts a seat (or, if it
is a rule over the whole plan, has nothing to say any more).
"""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

from slotfit.answers.catalog.gaps import QUESTIONS
from slotfit.answers.catalog.lint import report_on
from slotfit.engine.seats import seat_all
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem
from slotfit.rule import PlanRule, SeatRule
from slotfit.rulebook import RULES, SEAT_RULES

BY_ID = {rule.id: rule for rule in RULES}

BOARD: dict[str, Any] = {
    "kind": "board", "id": "board", "invented": True, "size": "atx", "lowest_fan_rpm": 600,
    "processors": [{"id": "cpu0"}, {"id": "cpu1"}],
    "rows": [{"id": "rear", "positions": 6}],
    "devices": [],
    "lane_groups": [
        {"id": "port", "from": "cpu0", "generation": 4, "arrangements": [
            {"id": "whole", "gives": {"slot3": [8]}, "proof": "seen"},
            {"id": "split", "gives": {"slot3": [2, 4, 2]}, "proof": "seen"},
        ]},
    ],
    "receptacles": [
        {"id": "slot1", "form": "cem", "width": 16, "row": "rear", "position": 0, "from": "cpu0",
         "generation": 4, "lanes": 16, "splits": ["x16", "x8x8", "x8x4x4"], "power_w": 75,
         "label_order": "low-first", "reversed": False, "isolation": "a",
         "speed_setting": "Slot 1 speed"},
        {"id": "slot2", "form": "cem", "width": 4, "row": "rear", "position": 2, "from": "cpu1",
         "generation": 4, "lanes": 4, "splits": [], "power_w": 75, "isolation": "b",
         "speed_setting": False,
         "open_end": True, "behind_mm": 60, "powered_without_processor": True},
        {"id": "slot3", "form": "cem", "width": 8, "row": "rear", "position": 4, "power_w": 75,
         "open_end": False, "isolation": "c", "speed_setting": False},
        {"id": "m2", "form": "m2-m", "from": "cpu0", "generation": 4, "lanes": 4, "splits": [],
         "drive_lengths": [80], "isolation": "d", "speed_setting": False},
        {"id": "cable", "form": "mcio-4", "from": "cpu0", "generation": 4, "lanes": 4,
         "splits": [], "run_mm": 300, "isolation": "e", "speed_setting": False},
        {"id": "disk", "form": "sata", "from": "cpu0", "isolation": "f"},
        {"id": "back", "form": "u2", "from": "cpu0", "generation": 4, "lanes": 4, "splits": [],
         "power_w": 25, "bay": "3.5", "isolation": "g", "speed_setting": False},
        {"id": "fan1", "form": "fan-header", "pins": 4, "power_w": 12},
    ],
}  # fmt: skip

CARD: dict[str, Any] = {
    "kind": "part", "id": "card", "invented": True, "class": "network-card", "plug": "cem x8",
    "links": "x8", "generation": 4, "thickness": 2, "length_mm": 200, "height_mm": 111.15,
    "bracket": "full", "power": {"slot_w": 30}, "cooling": "passive", "airflow_lfm": 100,
    "airflow_at_c": 45,
    "demand": 4, "meant": ["slot_w"],
}  # fmt: skip

THICK = CARD | {"id": "thick", "thickness": 3}
HIGH = CARD | {"id": "high", "height_mm": 130, "meant": ["slot_w", "height_mm"]}

ADAPTER = CARD | {
    "id": "adapter", "class": "host-bus-adapter", "wiring": "controller", "modes": ["plain"],
    "receptacles": [{"id": "a", "form": "sas", "bus": "sas", "lanes": 1, "generation": 3}],
}  # fmt: skip

CARRIER = CARD | {
    "id": "carrier", "class": "carrier", "plug": "cem x16", "links": "x8x4x4",
    "makes_rails": ["3.3v"],
    "receptacles": [{"id": name, "form": "m2-m"} for name in ("a", "b", "c")]
    + [{"id": "fins", "form": "cooling-mount", "mount": "heat-sink"}],
}  # fmt: skip

SWITCH = CARD | {
    "id": "switch", "class": "carrier", "wiring": "switch", "isolates_guests": True,
    "makes_rails": ["3.3v"],
    "receptacles": [{"id": "a", "form": "m2-m", "lanes": 4, "drive_lengths": [80]}],
}  # fmt: skip

MODULE: dict[str, Any] = {
    "kind": "part", "id": "module", "invented": True, "class": "drive", "plug": "m2-m",
    "links": "x4", "generation": 4, "length_mm": 80, "power": {"slot_w": 6}, "demand": 3,
}  # fmt: skip

WIRE: dict[str, Any] = {
    "kind": "part", "id": "wire", "invented": True, "class": "cable", "plug": "mcio-4",
    "links": "x4", "generation": 4, "reach_mm": 500, "wired_for": ["board"],
    "receptacles": [{"id": "end", "form": "u2"}],
}  # fmt: skip

LIFT: dict[str, Any] = {
    "kind": "part", "id": "lift", "invented": True, "class": "adapter", "plug": "m2-m",
    "links": [{"lanes": 4, "to": ["top"]}], "generation": 4, "length_mm": 80,
    "receptacles": [{"id": "top", "form": "cem", "width": 8, "power_w": 75}],
    "makes_rails": ["12v"],
}  # fmt: skip

DISK: dict[str, Any] = {
    "kind": "part", "id": "hard-disk", "invented": True, "class": "drive", "plug": "sata",
    "links": [{"lanes": 1, "bus": "sata"}], "generation": 3, "bay": "3.5",
    "power": {"slot_w": 8, "start_w": 20}, "demand": 0.2,
}  # fmt: skip

PANEL: dict[str, Any] = {
    "kind": "part", "id": "panel", "invented": True, "class": "backplane", "plug": "sata",
    "links": [{"lanes": 1, "bus": "sata"}], "generation": 3, "wiring": "switch",
    "receptacles": [{"id": "a", "form": "sata", "bus": "sata", "lanes": 1, "generation": 3,
                     "bay": "3.5"}],
    "power": {"slot_w": 0}, "own_bays": True,
}  # fmt: skip

WARM_DISK = DISK | {"id": "warm-disk", "airflow_lfm": 100, "airflow_at_c": 45}

FAN: dict[str, Any] = {
    "kind": "part", "id": "fan", "invented": True, "class": "air-mover", "plug": "cooling-mount",
    "mounts": ["heat-sink"], "gives_airflow_lfm": 200, "power": {"slot_w": 2},
}  # fmt: skip

FRONT: dict[str, Any] = {
    "kind": "part", "id": "front", "invented": True, "class": "fan", "plug": "fan-header",
    "pins": 4, "min_rpm": 700, "power": {"slot_w": 4},
}  # fmt: skip

BLOWER: dict[str, Any] = {
    "kind": "part", "id": "blower", "invented": True, "class": "air-mover", "plug": "cem x1",
    "thickness": 1, "length_mm": 100, "height_mm": 68.9, "bracket": "low",
    "power": {"slot_w": 5, "aux_away": ["molex-4"]}, "cooling": "none",
}  # fmt: skip

HUNGRY = CARD | {"id": "hungry", "power": {"slot_w": 20, "aux": ["pcie-8"], "aux_w": 100}}

CASE: dict[str, Any] = {
    "kind": "chassis", "id": "case", "invented": True, "sizes": ["atx"], "openings": 6,
    "bracket": "full", "card_length_mm": 300, "card_height_mm": 150, "airflow_lfm": 200,
    "bay_airflow_lfm": 100,
    "bays": {"3.5": 2},
    "places": [{"id": "wall", "length_mm": 200, "height_mm": 120, "thickness": 1}],
}  # fmt: skip

SUPPLY: dict[str, Any] = {
    "kind": "power-supply", "id": "supply", "invented": True, "watts": 500,
    "plugs": {"pcie-8": 2}, "cables": [],
}  # fmt: skip

MACHINE: dict[str, Any] = {
    "id": "tower", "board": "board", "chassis": "case", "power_supply": "supply", "base_w": 100,
    "inlet_c": 40,
}  # fmt: skip

WORLD: dict[str, dict[str, Any]] = {
    one["id"]: one
    for one in (
        BOARD,
        CARD,
        THICK,
        HIGH,
        ADAPTER,
        CARRIER,
        SWITCH,
        MODULE,
        WIRE,
        LIFT,
        DISK,
        PANEL,
        WARM_DISK,
        BLOWER,
        FAN,
        FRONT,
        HUNGRY,
        CASE,
        SUPPLY,
    )
}

Change = Callable[[dict[str, dict[str, Any]]], None]


def drop(thing: str, field: str) -> Change:
    """Take one key out of a file of the world, and what is called meant in it."""

    def change(world: dict[str, dict[str, Any]]) -> None:
        inner = world[thing].pop(field)
        if isinstance(inner, dict) and not inner.keys().isdisjoint(world[thing].get("meant", ())):
            del world[thing]["meant"]

    return change


def drop_cable(world: dict[str, dict[str, Any]]) -> None:
    """The wire is no longer said to be a cable."""
    del world["wire"]["class"], world["wire"]["reach_mm"]


def drop_in(name: str, *fields: str) -> Change:
    """Take keys out of a receptacle of the board."""

    def change(world: dict[str, dict[str, Any]]) -> None:
        for one in world["board"]["receptacles"]:
            if one["id"] == name:
                for field in fields:
                    del one[field]

    return change


def in_group(field: str, value: Any, way: int | None = None) -> Change:
    """Write (or, with None, take out) a key of the lane group or of one of its arrangements."""

    def change(world: dict[str, dict[str, Any]]) -> None:
        group = world["board"]["lane_groups"][0]
        owner = group if way is None else group["arrangements"][way]
        owner.pop(field, None)
        if value is not None:
            owner[field] = value

    return change


def silent_mount(world: dict[str, dict[str, Any]]) -> None:
    """Take out the shape of the carrier's place for an air mover."""
    del world["carrier"]["receptacles"][-1]["mount"]


def silent_bay(world: dict[str, dict[str, Any]]) -> None:
    """How big the bays of the backplane are is not said."""
    del world["panel"]["receptacles"][0]["bay"]


def silent_start(world: dict[str, dict[str, Any]]) -> None:
    """Take out what the disk takes while it spins up."""
    del world["hard-disk"]["power"]["start_w"]


def silent_away(world: dict[str, dict[str, Any]]) -> None:
    """Take out whether the blower runs without a slot."""
    del world["blower"]["power"]["aux_away"]


def still_air(change: Change) -> Change:
    """The same, and no air moves in the chassis."""

    def both(world: dict[str, dict[str, Any]]) -> None:
        change(world)
        world["case"]["airflow_lfm"] = 0

    return both


def slow_wires(change: Change) -> Change:
    """The same, and the other carrier is slower than its slot and what sits in it."""

    def both(world: dict[str, dict[str, Any]]) -> None:
        change(world)
        world["carrier"]["generation"] = 3

    return both


def short_of_a_row(world: dict[str, dict[str, Any]]) -> None:
    """A board that divides by what is plugged in, and says nothing of m2c filled without m2b."""
    rows = [{"slot3": [8]}, {"slot3": [4], "m2b": [4]}, {"slot3": [4], "m2b": [2], "m2c": [2]}]
    world["board"]["lane_groups"][0]["arrangements"] = [
        {"id": f"row{n}", "gives": row, "chosen_by": "presence", "proof": "seen"}
        for n, row in enumerate(rows)
    ]
    world["board"]["receptacles"] += [
        {
            "id": name,
            "form": "m2-m",
            "drive_lengths": [80],
            "isolation": name,
            "speed_setting": False,
        }
        for name in ("m2b", "m2c")
    ]


TABLE: list[tuple[str, str, str, Change, dict[str, Any]]] = [
    # file, what lint names, rule, the fact taken out, the part that then is in doubt
    ("board", "m2: lanes", "LANE006", drop_in("m2", "lanes"), {"part": "module"}),
    ("board", "slot2: generation", "LANE009", drop_in("slot2", "generation"), {"part": "card"}),
    ("board", "slot1: splits", "LANE006",
     drop_in("slot1", "splits", "label_order", "reversed"), {"part": "carrier"}),
    ("board", "slot1: label_order", "LANE007", drop_in("slot1", "label_order"),
     {"part": "carrier"}),
    ("board", "slot1: label_order", "LANE007", drop_in("slot1", "reversed"), {"part": "carrier"}),
    ("board", "slot1: width", "FIT002", drop_in("slot1", "width"), {"part": "card"}),
    ("board", "slot3: open_end", "FIT002", drop_in("slot3", "open_end"), {"part": "carrier"}),
    ("board", "slot2: behind_mm", "FIT009", drop_in("slot2", "behind_mm"), {"part": "card"}),
    ("board", "slot1: power_w", "POW001", drop_in("slot1", "power_w"), {"part": "card"}),
    ("board", "m2: drive_lengths", "FIT010", drop_in("m2", "drive_lengths"), {"part": "module"}),
    ("board", "cable: run_mm", "CAB001", drop_in("cable", "run_mm"), {"part": "wire"}),
    ("board", "slot1: isolation", "ISO001", drop_in("slot1", "isolation"),
     {"part": "card", "guest": "g"}),
    ("board", "devices", "ISO004", drop("board", "devices"), {"part": "card", "guest": "g"}),
    ("adapter", "modes", "ISO006", drop("adapter", "modes"),
     {"part": "hard-disk", "guest": "g"}),
    ("board", "slot1: speed_setting", "LANE018", slow_wires(drop_in("slot1", "speed_setting")),
     {"part": "module"}),
    ("board", "slot2: row", "FIT015", drop_in("slot2", "row", "position"), {"part": "thick"}),
    ("board", "slot1: from", "CPU001", drop_in("slot1", "from"), {"part": "card"}),
    ("board", "port: from", "CPU001", in_group("from", None), {"part": "card"}),
    ("board", "port: generation", "LANE009", in_group("generation", None), {"part": "card"}),
    ("board", "port split: proof", "LANE006", in_group("proof", None, 1), {"part": "card"}),
    ("board", "port split: proof", "LANE006", in_group("proof", "menu-only", 1),
     {"part": "card"}),
    ("board", "slot2: powered_without_processor", "POW005",
     drop_in("slot2", "powered_without_processor"), {"part": "blower"}),
    ("board", "size", "FIT013", drop("board", "size"), {"part": "card"}),
    ("card", "generation", "LANE009", drop("card", "generation"), {"part": "card"}),
    ("card", "thickness", "FIT005", drop("card", "thickness"), {"part": "card"}),
    ("card", "length_mm", "FIT006", drop("card", "length_mm"), {"part": "card"}),
    ("card", "height_mm", "FIT007", drop("card", "height_mm"), {"part": "card"}),
    ("card", "bracket", "FIT008", drop("card", "bracket"), {"part": "card"}),
    ("card", "power", "POW006", drop("card", "power"), {"part": "card"}),
    ("card", "airflow_lfm", "COOL001", drop("card", "airflow_lfm"), {"part": "card"}),
    ("card", "airflow_at_c", "COOL004", drop("card", "airflow_at_c"), {"part": "card"}),
    ("case", "bay_airflow_lfm", "COOL001", drop("case", "bay_airflow_lfm"), {"part": "warm-disk"}),
    ("module", "length_mm", "FIT010", drop("module", "length_mm"), {"part": "module"}),
    ("fan", "gives_airflow_lfm", "COOL001", still_air(drop("fan", "gives_airflow_lfm")),
     {"part": "fan"}),
    ("fan", "mounts", "FIT016", drop("fan", "mounts"), {"part": "fan"}),
    ("carrier", "receptacles", "FIT016", silent_mount, {"part": "fan"}),
    ("board", "back: bay", "FIT025", drop_in("back", "bay"), {"part": "hard-disk"}),
    ("panel", "own_bays", "FIT024", drop("panel", "own_bays"), {"part": "panel", "count": 3}),
    ("supply", "cables", "POW023", drop("supply", "cables"), {"part": "hungry", "count": 2}),
    ("panel", "receptacles", "FIT025", silent_bay, {"part": "hard-disk"}),
    ("board", "fan1: pins", "COOL007", drop_in("fan1", "pins"), {"part": "front"}),
    ("board", "fan1: power_w", "POW001", drop_in("fan1", "power_w"), {"part": "front"}),
    ("board", "lowest_fan_rpm", "COOL007", drop("board", "lowest_fan_rpm"), {"part": "front"}),
    ("front", "pins", "COOL007", drop("front", "pins"), {"part": "front"}),
    ("front", "min_rpm", "COOL007", drop("front", "min_rpm"), {"part": "front"}),
    ("wire", "reach_mm", "CAB001", drop("wire", "reach_mm"), {"part": "wire"}),
    ("carrier", "makes_rails", "POW019", drop("carrier", "makes_rails"),
     {"part": "module", "count": 2}),
    ("lift", "makes_rails", "POW016", drop("lift", "makes_rails"), {"part": "card"}),
    ("wire", "wired_for", "CAB003", drop("wire", "wired_for"), {"part": "wire"}),
    ("wire", "plug", "CAB002", drop_cable, {"part": "wire"}),
    ("hard-disk", "bay", "FIT012", drop("hard-disk", "bay"), {"part": "hard-disk", "count": 3}),
    ("blower", "power", "FIT018", silent_away, {"part": "blower"}),
    ("case", "sizes", "FIT013", drop("case", "sizes"), {"part": "card"}),
    ("case", "openings", "FIT005", drop("case", "openings"), {"part": "card"}),
    ("case", "bracket", "FIT008", drop("case", "bracket"), {"part": "card"}),
    ("case", "card_length_mm", "FIT006", drop("case", "card_length_mm"), {"part": "card"}),
    ("case", "card_height_mm", "FIT007", drop("case", "card_height_mm"), {"part": "high"}),
    ("case", "airflow_lfm", "COOL001", drop("case", "airflow_lfm"), {"part": "card"}),
    ("case", "bays", "FIT014", drop("case", "bays"), {"part": "hard-disk"}),
    ("hard-disk", "power.start_w", "POW011", silent_start, {"part": "hard-disk", "count": 14}),
    ("supply", "plugs", "POW008", drop("supply", "plugs"), {"part": "hungry"}),
    ("board", "port: arrangements", "LANE016", short_of_a_row, {"part": "card"}),
]  # fmt: skip

ONE_PROCESSOR = {"CPU001", "POW005"}
"""Rules that only speak where a processor socket is empty."""


def write(world: dict[str, dict[str, Any]], folder: Path) -> Catalog:
    for name, content in world.items():
        (folder / f"{name}.yaml").write_text(json.dumps(content), "utf-8")
    return Catalog([folder])


def problem_with(catalog: Catalog, wish: dict[str, Any], rule: str) -> Problem:
    fitted = {"processors": ["cpu0"]} if rule in ONE_PROCESSOR else {}
    names = ("carrier", "lift", "panel", "adapter")
    others = [{"id": name, "part": name} for name in names]
    build = {"id": "b", "machines": [MACHINE | fitted], "parts": [{"id": "probe", **wish}, *others]}
    return load_build_text(json.dumps(build), catalog)


def said(problem: Problem, rule_id: str) -> set[str]:
    """Facts that a one-seat rule doubts for the probe; what a plan rule states."""
    rule = BY_ID[rule_id]
    if isinstance(rule, PlanRule):
        return {clause.reason.text for clause in rule.state(problem, seat_all(problem, SEAT_RULES))}
    assert isinstance(rule, SeatRule)
    seats = seat_all(problem, (rule,)).seats
    return {fact.label for seat in seats if seat.part.startswith("probe") for fact in seat.facts}


def unknown(path: Path, catalog: Catalog) -> dict[str, str]:
    """What lint misses in a file: field -> rule."""
    report = report_on(path, catalog)
    assert report.is_clean, report.remarks
    return {one.path: one.rule for one in report.remarks}


def test_nothing_is_missing_where_everything_is_said(tmp_path: Path) -> None:
    catalog = write(WORLD, tmp_path)
    found = {name: unknown(tmp_path / f"{name}.yaml", catalog) for name in WORLD}
    assert found == {name: {} for name in WORLD}


@pytest.mark.parametrize(
    ("file", "field", "rule", "change", "wish"),
    TABLE,
    ids=lambda v: "change" if callable(v) else str(v)[:40],
)
def test_a_missing_fact_is_named_and_doubted(
    file: str, field: str, rule: str, change: Change, wish: dict[str, Any], tmp_path: Path
) -> None:
    before = said(problem_with(write(WORLD, tmp_path), wish, rule), rule)
    world = deepcopy(WORLD)
    change(world)
    catalog = write(world, tmp_path)
    after = said(problem_with(catalog, wish, rule), rule)
    assert unknown(tmp_path / f"{file}.yaml", catalog) == {field: rule}
    if isinstance(BY_ID[rule], PlanRule):
        assert before - after
    else:
        assert after - before


def test_every_remark_says_how_to_find_out_and_what_it_changes(tmp_path: Path) -> None:
    world = deepcopy(WORLD)
    for _, _, _, change, _ in TABLE:
        try:
            change(world)
        except KeyError:  # two rows of the table take the same fact out
            continue
    catalog = write(world, tmp_path)
    remarks = [
        one for name in world for one in report_on(tmp_path / f"{name}.yaml", catalog).remarks
    ]
    assert len(remarks) > 25
    for one in remarks:
        assert one.find_out
        assert one.changes
        assert set(one.changes) <= set(QUESTIONS)
        assert one.rule in BY_ID or one.rule in ("bandwidth", "moves")
