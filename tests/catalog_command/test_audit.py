"""The audit of a catalog: each thing wrong with a small one is found, and nothing else."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from slotfit import api
from slotfit.answers.catalog.audit import FINDINGS, AuditAnswer, catalog_audited
from slotfit.load.catalog import Catalog
from tests.catalog_command.typed import typed

SOURCES = dict.fromkeys(("plug", "links", "power"), "data sheet (read in the source)")
CARD = {"plug": "cem x8", "links": "x8", "class": "network-card", "length_mm": 150}
SIZED = {"height_mm": 68, "bracket": "both", "power": {"slot_w": 10}, "generation": 3}
CARD |= {**SIZED, "thickness": 1}
SLOT = {"form": "cem", "width": 8, "row": "rear", "position": 0, "lanes": 8, "generation": 3}
BOARD = {
    "kind": "board",
    "invented": True,
    "size": "atx",
    "processors": [{"id": "cpu0"}],
    "rows": [{"id": "rear", "positions": 1}],
    "receptacles": [{**SLOT, "id": "slot1", "from": "cpu0", "splits": [], "power_w": 25}],
}
CASE = {"sizes": ["atx"], "openings": 1, "bracket": "full", "card_length_mm": 200}
CASE |= {"kind": "chassis", "invented": True, "card_height_mm": 120, "airflow_lfm": 200}
SMALL: dict[str, dict[str, Any]] = {
    "bench": BOARD,
    "case": CASE,
    "nic-both": {**CARD, "sources": SOURCES},
    "nic-full": {**CARD, "bracket": "full"},
}


def audited(folder: Path, things: dict[str, dict[str, Any]]) -> AuditAnswer:
    """The audit of a catalog with these and nothing else."""
    for name, thing in things.items():
        text = yaml.safe_dump({"kind": "part", "id": name, **thing})
        (folder / f"{name}.yaml").write_text(text, "utf-8")
    return catalog_audited(Catalog([folder]))


def told(answer: AuditAnswer, name: str) -> list[str]:
    return [f"{one.thing}: {one.text}" for one in getattr(answer, name)]


NEW: dict[str, tuple[str, str, dict[str, Any]]] = {
    "too long for its chassis": (
        "unused",
        "long: sits in no board of the catalog, in no chassis of it",
        {"long": {**CARD, "length_mm": 210}},
    ),
    "a plug that nothing takes": (
        "unused",
        "drive: sits in no board of the catalog, in no chassis of it",
        {"drive": {"plug": "m2-m", "links": "x4", "class": "drive"}},
    ),
    "out of what others call typical and worst": (
        "out_of_spread",
        "hot: slot_w 18 W; parts alike have 9 to 12",
        {
            "hot": {**CARD, "power": {"slot_w": 18}},
            "varies": {**CARD, "power": {"slot_w": {"typical": 9, "worst": 12}}},
        },
    ),
    "a chassis too small for any card": (
        "roomless",
        "flat with bench: no card of the catalog goes into any of its slots",
        {"flat": {**CASE, "card_height_mm": 60}},
    ),
    "a class of one": (
        "alone",
        "sound-card: the only one has the same bracket: no neighbour that differs in it",
        {"sound": {**CARD, "class": "sound-card"}},
    ),
    "a class all of whose parts have a switch": (
        "alone",
        "carrier: all 2 have the same wiring: no neighbour that differs in it",
        {
            "one": {**CARD, "class": "carrier", "wiring": "switch"},
            "other": {
                **CARD,
                "class": "carrier",
                "wiring": "switch",
                "plug": "cem x4",
                "links": "x4",
            },
        },
    ),
}


@pytest.mark.parametrize("name", NEW)
def test_each_thing_that_is_wrong_is_found(name: str, tmp_path: Path) -> None:
    field, says, things = NEW[name]
    before = audited(tmp_path, SMALL)
    assert not [one for other in FINDINGS if other == field for one in told(before, other)]
    after = audited(tmp_path, {**SMALL, **things})
    assert says in told(after, field)


def test_what_sits_on_a_part_is_used(tmp_path: Path) -> None:
    drive = {"plug": "m2-m", "links": "x4", "class": "drive", "length_mm": 80}
    socket = {"id": "a", "form": "m2-m", "drive_lengths": [80], "lanes": 4, "power_w": 10}
    holder = {**CARD, "class": "carrier", "wiring": "switch", "receptacles": [socket]}
    assert told(audited(tmp_path, {**SMALL, "drive": drive}), "unused")
    assert told(audited(tmp_path, {**SMALL, "drive": drive, "holder": holder}), "unused") == []


def test_figures_are_counted_by_class_and_by_what_they_rest_on(tmp_path: Path) -> None:
    """Of a card's eight figures three have a source, of the other card's none has."""
    answer = audited(tmp_path, SMALL)
    (cards,) = (one for one in answer.classes if one.of == "network-card")
    assert (cards.things, cards.invented) == (2, 0)
    assert cards.figures == {"source": 3, "none": 4 + 7}
    sized = "generation, height_mm, length_mm"
    assert told(answer, "uncited") == [
        f"nic-both: no source for {sized} and thickness",
        f"nic-full: no source for {sized}, links, plug, power and thickness",
    ]


def test_a_file_with_mistakes_is_named_and_left_out(tmp_path: Path) -> None:
    answer = audited(tmp_path, {**SMALL, "broken": {"plug": "cem x8", "lenght_mm": 9}})
    schema = json.loads(api.schema("answer-catalog-audit"))
    assert [*Draft202012Validator(schema).iter_errors(json.loads(api.json(answer)))] == []
    assert answer.faulty == ("broken",)
    assert not answer.is_clean
    assert "broken" in api.text(answer)


@pytest.mark.long
def test_of_the_catalog_that_comes_along_nothing_is_to_be_looked_at() -> None:
    """Each part sits somewhere, each board places, each chassis has room with each board."""
    done = typed("catalog", "audit")
    assert done.out.startswith("What figures rest on\n")
    assert "network-card" in done.out
    assert done.out.endswith("\nNothing to look at.\n")
    assert done.code == 0
