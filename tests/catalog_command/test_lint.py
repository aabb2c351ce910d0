"""Lint: each fault is told once, at its line, and everything that comes along is clean."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.answers.catalog.lint import report_on
from slotfit.load.catalog import standard_catalog
from slotfit.model.entity import Span
from tests.catalog.entries import FILES
from tests.catalog_command.typed import typed

TABLE: dict[str, dict[str, Any]] = yaml.safe_load(
    (Path(__file__).parent / "faults.yaml").read_text("utf-8")
)
CATALOG = standard_catalog()


@pytest.mark.parametrize("name", TABLE)
def test_a_fault_is_told_at_its_line_and_nothing_else_is(name: str, tmp_path: Path) -> None:
    case = TABLE[name]
    path = tmp_path / "file.yaml"
    path.write_text(case["file"], "utf-8")
    told = [one for one in report_on(path, CATALOG).remarks if one.counts]
    assert len(told) == len(case["says"]), told
    for remark, (sort, line, field, text) in zip(told, case["says"], strict=True):
        assert isinstance(remark.where, Span)
        assert (remark.sort, remark.where.line, remark.path) == (sort, line, field)
        assert text in remark.text


def test_everything_that_comes_along_is_clean() -> None:
    done = typed("catalog", "lint", "all")
    assert done.code == 0, done.out
    assert done.out.startswith(f"{len(FILES)} files, none with something to mend.\n")


def test_the_examples_are_clean() -> None:
    assert typed("catalog", "lint", "examples/demo").code == 0


def test_faults_are_the_answer_no(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_text(TABLE["thirty_watts_in_an_x1_card"]["file"], "utf-8")
    done = typed("catalog", "lint", str(path))
    assert done.code == 1
    assert f"{path}:7:9: power.slot_w: 30 W from the slot" in done.out


def test_what_is_only_unknown_is_no_fault() -> None:
    done = typed("catalog", "lint", "server-as-read")
    assert done.code == 0
    assert "Nothing to mend." in done.out
    assert "splits of slot1 (line 15), slot2 (line 23)" in done.out
    assert "check     will this part work here?" in done.out
    assert [line for line in done.out.splitlines() if len(line) > 80] == []


@pytest.mark.parametrize("named", ["nonesuch", "nonesuch.yaml", "tests/catalog_command/nonesuch/"])
def test_what_is_not_there_is_bad_input(named: str) -> None:
    done = typed("catalog", "lint", named)
    assert done.code == 2
    assert "nonesuch" in done.err


def test_a_folder_without_descriptions_is_bad_input(tmp_path: Path) -> None:
    assert typed("catalog", "lint", str(tmp_path)).code == 2


def test_several_files_are_told_one_by_one(tmp_path: Path) -> None:
    for name in ("thirty_watts_in_an_x1_card", "a_card_edge_of_two_lanes"):
        (tmp_path / f"{name}.yaml").write_text(TABLE[name]["file"], "utf-8")
    done = typed("catalog", "lint", str(tmp_path))
    assert done.code == 1
    assert done.out.count("\nUnlikely\n") == 2
    assert "2 files, 2 with something to mend." in done.out


def test_a_file_of_a_catalog_is_called_as_its_id(tmp_path: Path) -> None:
    (tmp_path / "here.yaml").write_text("kind: part\nid: there\nplug: m2-m\n", "utf-8")
    inside = typed("catalog", "lint", "here", "--catalog", str(tmp_path))
    assert "file name and id must agree" in inside.out
    outside = typed("catalog", "lint", str(tmp_path / "here.yaml"))
    assert "file name and id must agree" not in outside.out


def test_json_has_file_line_and_what_hangs_on_it() -> None:
    done = typed("catalog", "lint", "server-as-read", "desktop-small", "--json")
    assert done.code == 0
    read, small = json.loads(done.out)["files"]
    assert (read["id"], small["id"]) == ("server-as-read", "desktop-small")
    assert {one["path"] for one in small["remarks"]} == {
        "slot2: power_w",
        "slot3: power_w",
        "devices",
    }
    splits = next(one for one in read["remarks"] if one["path"] == "slot1: splits")
    assert (splits["sort"], splits["where"]["line"], splits["rule"]) == ("unknown", 15, "LANE006")
    assert splits["changes"] == ["check", "place", "compare"]
    assert splits["where"]["file"].endswith("server-as-read.yaml")


def test_a_build_is_linted_with_all_it_refers_to(tmp_path: Path) -> None:
    text = "kind: build\nid: b\nmachines: [{id: m, board: desktop-smal}]\n"
    (tmp_path / "b.yaml").write_text(text, "utf-8")
    done = typed("catalog", "lint", str(tmp_path / "b.yaml"))
    assert done.code == 1
    assert "nothing in the catalog is called desktop-smal; did you mean desktop-small?" in done.out
    assert "no power supply is named" in done.out
    assert "where parts sit now is not said" in done.out


RESTS = """\
kind: part
id: nic
plug: cem x8
links: x8
generation: 3
thickness: 1
length_mm: {typical: 150, worst: 160}
power: {slot_w: 12}
sources:
  plug: data sheet, page 2
  links: data sheet, page 2 (as quoted)
  generation: typical, ask the data sheet
  length_mm: one card of the class (typical, ask the data sheet)
  thickness: from memory
  power: what the trade does (common practice, no source)
"""


def test_it_is_told_what_each_figure_rests_on(tmp_path: Path) -> None:
    path = tmp_path / "nic.yaml"
    path.write_text(RESTS, "utf-8")
    assert report_on(path, CATALOG).rests_on == {
        "source": ("plug", "links"),
        "typical": ("generation", "length_mm"),
        "from memory": ("thickness",),
        "common practice": ("power",),
    }
    path.write_text(RESTS.replace("  thickness: from memory\n", ""), "utf-8")
    assert report_on(path, CATALOG).rests_on["none"] == ("thickness",)
    out = typed("catalog", "lint", str(path)).out
    assert "  - typical of the class, ask the data sheet: generation, length_mm\n" in out
    assert "  - nothing that is named: thickness\n" in out
