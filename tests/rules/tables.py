"""
Case tables of the rules: read, and each case made into a problem.

A table names its rule, where its expectations come from, and its cases. A case says only what
matters to it; `tests/cases/rules/bases.yaml` has the rest. Keys of a case:

    card            what differs of the part `card`
    parts           further parts: name -> what differs; `like` names the base (else `card`)
    slot1           what differs of the slot `slot1`
    receptacles     further ones on the board: name -> what differs; `like` names the base
    board, machine, chassis, supply     what differs; the last two are only there if named
    machines        further machines, each with the same board and its own `processors`
    build           further keys of the build file
    at, of, under   one-seat rules: which receptacle (slot1), part (card), arrangement (any)
    seats           plan rules: part -> receptacle, or `receptacle under arrangement`, or several
    arranged        lane group -> arrangement, where no seat settles it
    says            objections, or broken clauses, word for word
    rests_on        facts rested on, word for word
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem

FOLDER = Path(__file__).parents[1] / "cases" / "rules"

Case = Mapping[str, Any]

KEYS = frozenset(
    (
        "card", "parts", "slot1", "receptacles", "board", "machine", "chassis", "supply",
        "machines", "build", "at", "of", "under", "seats", "arranged", "says", "rests_on",
    )
)  # fmt: skip

PART_OR_WISH = (
    "count", "required", "weight", "pin", "only", "ban", "machine", "near", "must_be_near",
    "guest", "shared_by", "endpoints", "wish",
)  # fmt: skip
"""Keys of a part that are the build file's; `wish` holds those that a part has too."""


@cache
def tables() -> dict[str, dict[str, Any]]:
    """Rule id -> its table."""
    files = sorted(path for path in FOLDER.glob("*.yaml") if path.stem != "bases")
    return {path.stem: yaml.safe_load(path.read_text("utf-8")) for path in files}


@cache
def bases() -> dict[str, Any]:
    """What a case leaves out."""
    found: dict[str, Any] = yaml.safe_load((FOLDER / "bases.yaml").read_text("utf-8"))
    return found


def all_cases() -> list[tuple[str, str]]:
    """Every rule id with the name of each of its cases."""
    return [(rule, name) for rule, table in tables().items() for name in table["cases"]]


def merged(base: Mapping[str, Any], case: Mapping[str, Any] | None) -> dict[str, Any]:
    """The base with what the case says; `~` takes a key away."""
    both = deepcopy(dict(base)) | dict(case or {})
    return {key: value for key, value in both.items() if value is not None and key != "like"}


def problem_of(case: Case) -> Problem:
    """The problem that a case describes, by way of the loader."""
    whole = json.loads(json.dumps(build_of(case)))  # what cases share is written out
    text = yaml.safe_dump(whole, sort_keys=False)
    return load_build_text(text, Catalog(()), "case.yaml")


def build_of(case: Case) -> dict[str, Any]:
    """A whole build file's content."""
    first = merged(bases()["machine"], case.get("machine")) | {"board": board_of(case)}
    for key, field in (("chassis", "chassis"), ("supply", "power_supply")):
        if key in case:
            first[field] = merged(bases()[key], case[key])
    further = [
        {"id": name, "board": board_of(case)} | merged({}, said)
        for name, said in case.get("machines", {}).items()
    ]
    return {
        "kind": "build",
        "id": "case",
        "machines": [first, *further],
        "parts": list(parts_of(case)),
    } | dict(case.get("build", {}))


def board_of(case: Case) -> dict[str, Any]:
    board = merged(bases()["board"], case.get("board"))
    first = {"id": "slot1", "row": "rear", "isolation": "slot1"} | bases()["receptacles"]["slot"]
    receptacles = [merged(first, case.get("slot1"))]
    for name, said in case.get("receptacles", {}).items():
        kind = (said or {}).get("like", "slot")
        receptacles.append({"id": name} | merged(bases()["receptacles"][kind], said))
    return board | {"receptacles": receptacles}


def parts_of(case: Case) -> Iterator[dict[str, Any]]:
    """Entries of the build file: the part described in place, its wishes beside it."""
    parts: dict[str, Any] = case.get("parts", {})
    if "card" in case or not parts:
        parts = {"card": case.get("card"), **parts}
    for name, said in parts.items():
        kind = (said or {}).get("like", "card")
        both = merged(bases()["parts"][kind], said)
        wishes = {key: both.pop(key) for key in PART_OR_WISH if key in both}
        wishes |= wishes.pop("wish", {})
        part = {"kind": "part", "id": f"some-{name}"} | both
        yield {"id": name, "part": part} | wishes
