"""The command: exit codes, formats, files, and what it says of wrong questions."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.answers.sequence.answer import PullFirstAnswer
from slotfit.answers.sequence.plan import FIGURES
from slotfit.model.windows import Totals
from tests.catalog_command.typed import Done, typed
from tests.docs.console import run
from tests.sequence.rebuilds import LIGHTHOUSE, NO_WAY


def slotfit(*words: str | Path) -> Done:
    return typed("sequence", *map(str, words))


def test_a_sequence_exits_0_and_writes_picture_and_page(tmp_path: Path) -> None:
    picture, page = tmp_path / "w.svg", tmp_path / "w.html"
    done = slotfit(LIGHTHOUSE, "--draw", picture, "--page", page)
    assert (done.code, done.err) == (0, "")
    assert done.out.startswith("The museum of lighthouses")
    assert picture.read_text("utf-8").startswith("<svg")
    assert page.read_text("utf-8").startswith("<!doctype html>")


def test_json_is_for_programs() -> None:
    done = slotfit(LIGHTHOUSE, "--json")
    answer = json.loads(done.out)
    said = (done.code, answer["schema_version"], answer["verdict"]["status"])
    assert said == (0, 2, "proven")
    assert [window["off"] for window in answer["plan"]["windows"]] == [["lamp"], ["fog"], ["lamp"]]


def test_a_build_file_of_where_one_stops_can_be_written(tmp_path: Path) -> None:
    stretches = json.loads(slotfit(LIGHTHOUSE, "--json").out)["plan"]["stretches"]
    content = yaml.safe_load(LIGHTHOUSE.read_text("utf-8"))
    for machine in content["machines"]:
        machine["board"] = str(LIGHTHOUSE.parent / machine["board"])
    for number, part in ((0, "plates-old"), (1, "plates"), (2, "plates"), (3, "accelerator")):
        stretch = stretches[number]
        content["today"] = stretch["places"]
        content["sequence"]["settings_today"] = stretch["settings"]
        file = tmp_path / f"after-{number}.yaml"
        file.write_text(yaml.safe_dump(content), "utf-8")
        place = stretch["places"][part]
        code, printed = run(["slotfit", "check", part, str(file), "--slot", place, "--json"])
        verdict = json.loads("\n".join(printed))["plan"]["receptacles"][0]
        assert (code, verdict["status"]) == (0, "works"), (number, verdict)


def test_further_plugs_are_not_told_as_places(tmp_path: Path) -> None:
    """A build file's `today` names parts; `mixed:cable` is a plug of one."""
    content: dict[str, Any] = {
        "id": "box",
        "machines": [{"id": "box", "board": "workstation", "base_w": 100}],
        "parts": [{"id": "mixed", "part": "carrier-m2x2-mixed"}],
        "sequence": {"goal": {"mixed": "slot2"}},
    }
    file = tmp_path / "build.yaml"
    file.write_text(yaml.safe_dump(content), "utf-8")
    _, printed = run(["slotfit", "sequence", str(file), "--json"])
    after = json.loads("\n".join(printed))["plan"]["stretches"][-1]
    assert after["places"] == {"mixed": "slot2"}
    content["today"] = after["places"]
    content["sequence"]["settings_today"] = after["settings"]
    file.write_text(yaml.safe_dump(content), "utf-8")
    code, printed = run(["slotfit", "sequence", str(file), "--json"])
    assert (code, json.loads("\n".join(printed))["plan"]["windows"]) == (0, [])


def test_out_of_time_exits_3_and_is_not_called_impossible() -> None:
    out_of_time = slotfit(NO_WAY, "--seconds", "0")
    assert out_of_time.code == 3
    assert "Out of time" in out_of_time.out
    assert "No sequence" not in out_of_time.out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--draw", "w.pdf"], "w.pdf: write a name that ends in .svg or .png"),
        (["--page", "nowhere/w.html"], "there is no folder nowhere"),
        (["--pull-first", "lens"], "--pull-first: there is no part lens"),
        (["--pull-first", "hba"], "--pull-first: hba is in lamp/slot2 already"),
        (["--pull-first", "plates", "--draw", "w.svg"], "--pull-first: draws nothing"),
    ],
)
def test_wrong_questions_exit_2(words: list[str], says: str) -> None:
    done = slotfit(LIGHTHOUSE, *words)
    assert (done.code, done.out) == (2, "")
    assert says in done.err
    assert "Traceback" not in done.err


def test_pull_first_speaks_json_too() -> None:
    done = slotfit(LIGHTHOUSE, "--pull-first", "plates", "--json")
    answer = json.loads(done.out)
    assert done.code == 0
    assert set(answer) == set(PullFirstAnswer.__dataclass_fields__)
    now, pulls = answer["plan"]["goes_now"], answer["plan"]["pulls"]
    assert (answer["part"], now["place"], pulls) == ("plates", "SLOT 1 of lamp", [])


def test_every_figure_has_its_words_in_order() -> None:
    assert [name for name, _, _ in FIGURES] == list(Totals.__dataclass_fields__)


INTERRUPTED = """
import signal, sys
from slotfit.answers.sequence import no_way
no_way.helps = lambda *_: signal.raise_signal(signal.SIGINT)
from slotfit.cli.start import run
sys.argv[1:] = ["sequence", {build!r}, "--seconds", "3600"]
run()
"""


def test_ctrl_c_ends_with_what_is_known_and_no_traceback() -> None:
    """It comes when it is known that there is no way, and not yet what would help."""
    done = subprocess.run(
        [sys.executable, "-c", INTERRUPTED.format(build=str(NO_WAY))],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (1, "")
    assert "No: no sequence of windows keeps everything" in done.stdout
    assert "single help" not in done.stdout


def test_place_says_of_a_retired_part_just_that() -> None:
    assert "index-carrier: it is being retired" in " ".join(
        typed("place", str(LIGHTHOUSE)).out.split()
    )
