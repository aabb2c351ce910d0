"""The rebuilds of `windows.yaml`, whole, and small enough for a search through all layouts."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem

Written = dict[str, Any]

CASES = Path(__file__).parent / "windows.yaml"


@cache
def cases() -> dict[str, Written]:
    """Each rebuild as it is written, by its id."""
    written = yaml.safe_load(CASES.read_text("utf-8"))
    return {build["id"]: build for build in written["builds"]}


def whole(name: str) -> Problem:
    """A rebuild as a problem."""
    return loaded(cases()[name])


def small(name: str) -> Problem:
    """The same tale with the parts and receptacles that its `small` names, and no others."""
    build = cases()[name]
    return loaded(cut_down(build, build["small"]["parts"], build["small"]["receptacles"]))


def loaded(build: Written) -> Problem:
    """Without what is written for the tests."""
    content = {key: value for key, value in build.items() if key not in ("windows", "small")}
    return load_build_text(json.dumps({"kind": "build", **content}), Catalog(()), build["id"])


def cut_down(build: Written, parts: list[str], receptacles: list[str]) -> Written:
    """The rebuild without other parts and receptacles, and what is asked of those."""
    asked, machines = build["sequence"], {one["id"] for one in build["machines"]}
    services = [one | {"needs": kept(one["needs"], parts)} for one in asked.get("services", ())]
    mirrors = [{"parts": kept(one["parts"], parts)} for one in asked.get("mirrors", ())]
    return build | {
        "machines": [with_receptacles(one, receptacles) for one in build["machines"]],
        "parts": [one for one in build["parts"] if one["id"] in parts],
        "today": kept_keys(build["today"], parts),
        "retire": kept(build.get("retire", ()), {*parts, *machines}),
        "sequence": asked
        | {
            "goal": kept_keys(asked["goal"], parts),
            "copies": [
                without_cards(one)
                for one in asked.get("copies", ())
                if {one["from"], one["to"]} <= set(parts)
            ],
            "services": [one for one in services if one["needs"]],
            "mirrors": [one for one in mirrors if len(one["parts"]) > 1],
            "arrivals": kept_keys(asked.get("arrivals", {}), parts),
        },
    }


def without_cards(copy: Written) -> Written:
    """A copy over the boards' own ports."""
    return {key: value for key, value in copy.items() if key != "through"}


def with_receptacles(machine: Written, receptacles: list[str]) -> Written:
    """The machine with some of its receptacles."""
    board = machine["board"]
    there = [one for one in board["receptacles"] if f"{machine['id']}/{one['id']}" in receptacles]
    return machine | {"board": board | {"receptacles": there}}


def kept(names: Iterable[str], wanted: Iterable[str]) -> list[str]:
    """Those names that are wanted."""
    return [name for name in names if name in set(wanted)]


def kept_keys(mapping: Mapping[str, Any], wanted: Iterable[str]) -> Written:
    """The entries whose keys are wanted."""
    return {name: mapping[name] for name in kept(mapping, wanted)}
