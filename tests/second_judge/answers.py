"""What slotfit answers to a build, taken from its JSON (docs/reference/json.md)."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from slotfit import api
from tests.limits import SECONDS
from tests.second_judge.build import Build
from tests.second_judge.links import Plan


def answer_to(text: str) -> dict[str, Any]:
    """The answer of `place` to a build file, searched to its end."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "build.yaml"
        file.write_text(text, "utf-8")
        answer: dict[str, Any] = json.loads(api.json(api.place(api.load(file), SECONDS)))
    assert answer["verdict"]["status"] in {"proven", "impossible"}
    return answer


def plan_in(build: Build, answer: Mapping[str, Any]) -> Plan:
    """Its seats, and how it divides the lane groups."""
    division: dict[str, dict[str, list[int | str]]] = {}
    for one in answer["plan"]["receptacles"]:
        key = build.group_of.get(one["site"])
        if key:
            bus = build.groups[key].bus
            arriving = [
                lanes if of == bus else of
                for _, lanes, of in one["segments"]
                for _ in range(1 if of == bus else lanes)
            ]
            division.setdefault(key, {})[one["id"]] = arriving
    seats = {seat["item"]: seat["site"] for seat in answer["plan"]["seats"]}
    return Plan(build, seats, division)


def figures_in(answer: Mapping[str, Any]) -> dict[str, int]:
    """Stage -> what the plan comes to in it."""
    return {one["value"]["stage"]: one["value"]["value"] for one in answer["more"]["stages"]}
