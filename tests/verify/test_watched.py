"""A verification that a timer runs: one line a finding, and figures as OpenMetrics text."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from slotfit.answers.text_layout import as_json
from slotfit.answers.verify.watched import brief_text, metrics_text
from tests.catalog_command.typed import typed
from tests.read.machines import Placed, endpoint, port, write_sys
from tests.read.scenes import NETWORK
from tests.verify.changes import changed_machine
from tests.verify.fen import bus_as_planned, held, read_as

# OpenMetrics 1.0.0, "Text Format", ABNF (from memory).
NAME = r"[a-zA-Z_][a-zA-Z0-9_]*"
LABEL = rf'{NAME}="(?:[^"\\\n]|\\["\\n])*"'
SAMPLE = re.compile(rf"({NAME})\{{({LABEL}(?:,{LABEL})*)\}} (-?[0-9.]+(?:e[+-]?[0-9]+)?)")
HEADS = re.compile(rf"# (?:TYPE ({NAME}) (gauge|counter)|HELP {NAME} .+)")


def figures(text: str) -> dict[tuple[str, str], float]:
    """(Name, labels) -> value; fails on whatever the format has not."""
    *lines, end, nothing = text.split("\n")
    assert (end, nothing) == ("# EOF", "")
    kinds: dict[str, str] = {}
    found: dict[tuple[str, str], float] = {}
    for line in lines:
        head, sample = HEADS.fullmatch(line), SAMPLE.fullmatch(line)
        assert head or sample, line
        if head and head[1]:
            assert head[1] not in kinds  # a family stands together
            kinds[head[1]] = head[2]
        if sample:
            name = sample[1]
            assert kinds.get(name) == "gauge" or kinds[name.removesuffix("_total")] == "counter"
            assert (name, sample[2]) not in found
            found[name, sample[2]] = float(sample[3])
    return found


def test_a_machine_as_planned_is_one_line_and_its_figures_say_so() -> None:
    answer = held(read_as(bus_as_planned()))
    assert brief_text(answer).count("\n") == 1
    found = figures(metrics_text(answer))
    assert found["slotfit_verify_ok", 'machine="fen"'] == 1
    assert found["slotfit_findings", 'machine="fen",weight="fault"'] == 0
    at = 'machine="fen",part="network-1",receptacle="slot2"'
    assert found["slotfit_part_ok", at] == 1
    link = f'{at},first_lane="0"'
    assert found["slotfit_link_lanes", link] == found["slotfit_link_lanes_planned", link] == 8
    assert found["slotfit_link_errors_total", f'{link},severity="corrected"'] == 0


def test_a_link_that_degrades_shows_in_its_figures() -> None:
    case = {
        "change": {"02:00.0": {"lanes_now": 4}},
        "read": {"errors": {"05:00.0": [["corrected", "RxErr", 700]]}},
        "unplug": ["01:00.0"],
    }
    answer = held(changed_machine(case))
    found = figures(metrics_text(answer))
    lanes = 'machine="fen",part="{}",receptacle="{}",first_lane="0"'
    assert found["slotfit_link_lanes", lanes.format("network-1", "slot2")] == 4
    assert found["slotfit_link_lanes", lanes.format("accelerator-1", "slot1")] == 0
    drive = lanes.format("drive-1", "m2_1")
    assert found["slotfit_link_errors_total", f'{drive},severity="corrected"'] == 700
    assert found["slotfit_verify_ok", 'machine="fen"'] == 0
    lines = brief_text(answer).splitlines()
    assert [line.split(":", maxsplit=1)[0] for line in lines[1:]] == ["fault"] * 3
    assert all("likely: " in line for line in lines[1:])


def test_what_is_not_known_is_no_figure() -> None:
    answer = held(read_as(bus_as_planned(), bare=True))
    names = {name for name, _ in figures(metrics_text(answer))}
    assert "slotfit_link_lanes_planned" in names
    assert "slotfit_link_lanes" not in names
    assert "slotfit_link_generation" not in names


@pytest.mark.parametrize("name", ['quote " in it', "back\\slash", "two\nlines"])
def test_names_are_escaped(name: str) -> None:
    answer = replace(held(read_as(bus_as_planned())), machine=name)
    assert figures(metrics_text(answer))


def test_the_command_writes_the_file_whole_and_keeps_its_exit_code(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    chain = ("0000:00:01.0",)
    full = [Placed(port("0000:00:01.0", 1, number=1, lanes=8)),
            Placed(endpoint("0000:01:00.0", kind=NETWORK, lanes=8), chain)]  # fmt: skip
    write_sys(tmp_path / "full", full)
    write_sys(tmp_path / "less", full[:1])
    typed("read", "full", "-o", "marsh")
    good = typed("verify", "marsh/build.yaml", "full", "--brief", "--metrics", "marsh.txt")
    assert (good.code, good.out.count("\n")) == (0, 1)
    assert figures((tmp_path / "marsh.txt").read_text())["slotfit_verify_ok", 'machine="marsh"']
    bad = typed("verify", "marsh/build.yaml", "less", "--brief", "--metrics", "marsh.txt")
    assert bad.code == 1
    assert bad.out.splitlines()[1].startswith("fault: network-1 does not answer")
    assert not figures((tmp_path / "marsh.txt").read_text())["slotfit_verify_ok", 'machine="marsh"']
    data = typed("verify", "marsh/build.yaml", "less", "--json", "--metrics", "no/such/folder/file")
    assert (data.code, data.out) == (2, "")


def test_the_figures_are_in_the_json_too() -> None:
    assert '"lanes_planned": 8' in as_json(held(read_as(bus_as_planned())))
