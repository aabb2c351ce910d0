"""Doing to the build file what a way out says gives the plan that it promises."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from slotfit import api
from slotfit.answers.no_plan.answer import WayOut
from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load_build_text
from slotfit.model.plan import Plan
from tests.explain.test_kinds_of_way_out import CASES, shop, text_of
from tests.limits import SECONDS, mostly_long

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("infeasible-*/build.yaml"))

VALUE = r"(?:\[[^\]]*\]|\{(?:[^{}]|\{[^}]*\})*\}|[^,}\s]+)"


def take_out(lines: list[str], line: int, key: str) -> None:
    """One key of the entry on that line, or on a line of its own."""
    lines[line], found = re.subn(rf", {key}: {VALUE}|^ *{key}: {VALUE}$", "", lines[line])
    assert found == 1


def write(lines: list[str], line: int, key: str, value: str) -> None:
    """One key of the entry on that line, there already or not."""
    lines[line], found = re.subn(rf"\b{key}: {VALUE}", f"{key}: {value}", lines[line])
    if not found:
        lines[line] = re.sub(r"\}$", f", {key}: {value}}}", lines[line])


def take_entry_out(lines: list[str], line: int) -> None:
    lines[line] = ""


def take_name_out(lines: list[str], name: str, field: str, line: int) -> None:
    """One part of a group; a group of one is no group."""
    assert lines[line].startswith(field)
    lines[line] = re.sub(rf"\b{name}, |, {name}\b", "", lines[line])
    if re.search(r"parts: \[[^,]*\]", lines[line]):
        lines[line] = ""


def add_part(lines: list[str], entry: str) -> None:
    lines.insert(lines.index("parts:") + 1, entry)


def add_processor(lines: list[str], name: str, line: int) -> None:
    lines[line] = re.sub(r"(processors: \[[^\]{]*)\]", rf"\1, {name}]", lines[line])


def take_group_out(lines: list[str], field: str, line: int) -> None:
    assert lines[line].startswith(field)
    lines[line] = ""


def keep_in_service(lines: list[str], name: str) -> None:
    lines[lines.index(f"retire: [{name}]")] = ""


PLACE = r"\([^()]*:(\d+):\d+\)"

EDITS: list[tuple[str, Callable[..., None]]] = [
    (rf"take `(\w+)` out {PLACE}", lambda lines, key, at: take_out(lines, int(at) - 1, key)),
    (
        rf"write `(\w+): ([^`]+)` {PLACE}",
        lambda lines, key, value, at: write(lines, int(at) - 1, key, value),
    ),
    (
        rf"take the entry of .+ out {PLACE}",
        lambda lines, at: take_entry_out(lines, int(at) - 1),
    ),
    (r"add `(- \{[^`]+\})` to `parts`", add_part),
    (
        rf"add (\w+) to `processors` {PLACE}",
        lambda lines, name, at: add_processor(lines, name, int(at) - 1),
    ),
    (
        rf"take the group out of `(\w+)` {PLACE}",
        lambda lines, field, at: take_group_out(lines, field, int(at) - 1),
    ),
    (
        rf"take (\w+) out of `(together|apart)` {PLACE}",
        lambda lines, name, field, at: take_name_out(lines, name, field, int(at) - 1),
    ),
    (r"take (\w+) out of `retire`", keep_in_service),
]


def done(text: str, way: WayOut) -> str | None:
    """The build file once the steps are done; None for a step that the file does not show."""
    lines = text.splitlines()
    for step in way.steps:
        if not step.write:
            assert step.kind == "bracket"
            return None
        for order in step.write.split("; "):
            carry_out(lines, order)
    return re.sub(r"parts:\n(?! *-)", "parts: []\n", "\n".join(filter(None, lines)) + "\n")


def carry_out(lines: list[str], order: str) -> None:
    for pattern, edit in EDITS:
        if found := re.fullmatch(pattern, order):
            edit(lines, *found.groups())
            return
    pytest.fail(f"how is this done? {order}")


def seats(plan: Plan | None) -> set[tuple[str, str]]:
    assert plan is not None
    return {(seat.part, seat.receptacle) for seat in plan.seats}


def follow(text: str) -> int:
    """Do what every way out says; how many there were."""
    told = api.explain(load_build_text(text, shop().catalog), shop(), ways=12, seconds=SECONDS)
    followed = 0
    for way in told.found.ways:
        edited = done(text, way)
        if edited is not None:
            answer = best_plan(load_build_text(edited, shop().catalog), SECONDS)
            assert seats(answer.plan) == seats(way.placed.plan), edited
            followed += 1
    return followed


@pytest.mark.parametrize("name", mostly_long(CASES))
def test_each_kind_of_way_out(name: str) -> None:
    assert follow(text_of(CASES[name])) or CASES[name].kind in ("bracket", "leave-out")


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.parent.name)
def test_the_worked_examples(file: Path) -> None:
    assert follow(file.read_text("utf-8"))
