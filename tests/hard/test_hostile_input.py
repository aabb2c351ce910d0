"""Files and names that no honest user writes: told in words, or taken as they are."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from slotfit.errors import InputError
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog, parts_with
from slotfit.load.yaml_text import read_text

ROOT = Path(__file__).parents[2]

DEMO = str(ROOT / "examples" / "demo" / "build.yaml")

RUN = "import sys; sys.argv[0] = 'slotfit'; from slotfit.cli.main import run; run()"


def build(receptacle: dict[str, Any], **machine: Any) -> str:
    """A build with one receptacle and one card, as YAML (of which JSON is a part)."""
    board = {"kind": "board", "id": "b", "processors": [{"id": "cpu0"}]}
    part = {"kind": "part", "id": "nic", "plug": "cem x8", "links": "x8", "generation": 3}
    return json.dumps(
        {
            "kind": "build",
            "id": "x",
            "machines": [{"id": "m", "board": board | {"receptacles": [receptacle]}} | machine],
            "parts": [{"id": "p", "part": part}],
        },
        ensure_ascii=False,
    )


def slotfit(*words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", RUN, *words],
        capture_output=True,
        text=True,
        encoding="utf-8",
        env=os.environ | environment,
        check=False,
    )


def test_an_id_of_eighty_characters_is_as_good_as_any() -> None:
    slot = {"id": "A" * 80, "form": "cem", "width": 16, "lanes": 16, "splits": ["x4x4x4x4"]}
    problem = load_build_text(build(slot), Catalog(()))
    assert [group.id for group in problem.machines[0].board.lane_groups] == ["A" * 80]


def test_a_socket_with_a_module_s_two_notches_is_a_mistake() -> None:
    """PCI Express M.2, keys and notches (as quoted): B+M is a module's, never a socket's."""
    with pytest.raises(InputError, match="write the socket's key: m2-m or m2-b"):
        load_build_text(build({"id": "s", "form": "m2-bm"}), Catalog(()))


@pytest.mark.parametrize(("written", "shown"), [("a\nb\n - c", "a b - c"), (" \t ", "")])
def test_a_name_is_one_line(written: str, shown: str) -> None:
    problem = load_build_text(build({"id": "s", "form": "cem"}, name=written), Catalog(()))
    assert problem.machines[0].entry.name == shown


def test_pipes_and_devices_among_descriptions_are_no_descriptions(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.yaml")
    (tmp_path / "zero.yaml").symlink_to("/dev/zero")
    (tmp_path / "folder.yaml").mkdir()
    (tmp_path / "real.yaml").write_text("class: carrier\n")
    catalog = Catalog((tmp_path,))
    assert list(catalog.paths) == ["real"]
    assert list(parts_with(catalog, "m2-m", 1)) == []


def test_a_link_to_nothing_is_told_as_one(tmp_path: Path) -> None:
    (tmp_path / "link.yaml").symlink_to("/nowhere/at-all")
    with pytest.raises(InputError, match="is a link to /nowhere/at-all, which is not there"):
        read_text(tmp_path / "link.yaml")


def test_signs_that_the_terminal_lacks_are_escaped(tmp_path: Path) -> None:
    file = tmp_path / "build.yaml"
    file.write_text(build({"id": "s", "form": "cem", "label": "Größe 🚀"}), "utf-8")
    told = slotfit("place", "--json", str(file), PYTHONIOENCODING="ascii")
    assert "Gr\\u00f6\\u00dfe \\ud83d\\ude80" in told.stdout
    assert json.loads(told.stdout)["build"] == "x"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_a_full_disk_is_told_in_words() -> None:
    words = [sys.executable, "-c", RUN, "catalog", "list"]
    with Path("/dev/full").open("w") as full:
        told = subprocess.run(words, stdout=full, stderr=subprocess.PIPE, text=True, check=False)
    assert told.returncode == 2
    assert told.stderr.startswith("standard output: cannot be used: ")


def test_a_board_without_receptacles_gets_an_answer() -> None:
    board = "{kind: board, id: b, processors: [{id: cpu0}], receptacles: []}"
    told = slotfit("check", "hba-8i-sas3", board)
    assert told.returncode == 1
    assert "Traceback" not in told.stderr


def bash(line: str) -> subprocess.CompletedProcess[str]:
    """A line of shell with `slotfit` in it."""
    words = f'slotfit() {{ {sys.executable} -c "{RUN}" "$@"; }}; {line}'
    return subprocess.run(["bash", "-c", words], capture_output=True, text=True, check=False)


@pytest.mark.parametrize(
    "words", ["place examples/demo/build.yaml", "catalog list", "place --help"]
)
def test_a_closed_pipe_is_no_answer(words: str) -> None:
    """POSIX shells tell of a signal by more than 128; SIGPIPE is 13 (from memory)."""
    told = bash(f"cd {ROOT}; slotfit {words} | true; exit ${{PIPESTATUS[0]}}")
    assert (told.returncode, told.stderr) == (141, "")


def test_what_a_terminal_obeys_is_shown_instead(tmp_path: Path) -> None:
    """ECMA-48 8.3: ESC, and the single controls 0x80 to 0x9f; Unicode annex 9 turns a line."""
    evil = "\x1b[31m\n\x9b2J\u202e"
    for words in (["place", str(tmp_path / evil)], ["place", DEMO, "--prefer", evil]):
        told = slotfit(*words)
        assert told.returncode == 2
        assert "\\u001b[31m\\u000a\\u009b2J\\u202e" in told.stderr
        assert not set(evil.replace("[31m", "").replace("2J", "")) & set(told.stderr.rstrip("\n"))


def test_a_file_with_such_a_name_is_no_description(tmp_path: Path) -> None:
    (tmp_path / "a\x1b[31m.yaml").write_text("class: carrier\n")
    assert list(Catalog((tmp_path,)).paths) == []


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="no /proc here")
def test_a_file_that_cannot_be_written_is_told_before_the_work(tmp_path: Path) -> None:
    file = tmp_path / "build.yaml"
    file.write_text("kind: none\n")
    told = slotfit("place", str(file), "--draw", "/proc/plan.svg")
    assert told.returncode == 2
    assert told.stderr.startswith("/proc/plan.svg: cannot be written: ")
    assert list(tmp_path.iterdir()) == [file]


def interrupted(words: list[str], after_s: float) -> subprocess.CompletedProcess[str]:
    """A command to which Ctrl-C comes, as from a terminal: to all of its processes."""
    command = [sys.executable, "-m", "slotfit", *words]
    with subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        start_new_session=True,
    ) as run:
        try:
            out, err = run.communicate(timeout=after_s)
        except subprocess.TimeoutExpired:
            os.killpg(run.pid, signal.SIGINT)
            out, err = run.communicate()
    # Interrupted while it made a class, Python ends by the signal; shells count both alike.
    code = 128 + signal.SIGINT if run.returncode == -signal.SIGINT else run.returncode
    return subprocess.CompletedProcess(command, code, out, err)


@pytest.mark.long
@pytest.mark.parametrize("after_s", [0.2, 0.35, 0.5, 0.7, 0.9, 1.2, 1.6, 2.0])
@pytest.mark.parametrize(
    "words",
    [
        ["place", "examples/demo/build.yaml"],
        ["place", "examples/infeasible-locality/build.yaml"],
        ["sequence", "examples/sequence-lighthouse/build.yaml"],
        ["compare", "examples/demo/build.yaml", "--every"],
        ["headroom", "examples/demo/build.yaml"],
        ["why", "examples/demo/build.yaml", "nic-10", "slot1"],
    ],
    ids=" ".join,
)
def test_ctrl_c_ends_every_command_in_words(words: list[str], after_s: float) -> None:
    told = interrupted(words, after_s)
    assert "Traceback" not in told.stderr
    assert told.returncode in (0, 1, 3, 4, 130)
    if told.returncode == 130:
        assert told.stdout == ""
        assert told.stderr == "stopped before there was anything to tell\n"
    else:
        assert told.stdout


@pytest.mark.parametrize("line", ["slotfit place <(cat build.yaml)", "slotfit place /dev/stdin"])
def test_a_build_may_come_through_a_pipe_and_name_files_where_one_works(line: str) -> None:
    told = bash(f"cd {ROOT}/examples/demo; {line} < build.yaml")
    assert (told.returncode, told.stderr) == (4, "")
    piped = bash(f"cd {ROOT}/examples/demo; cat build.yaml | slotfit place /dev/stdin")
    assert (piped.returncode, piped.stdout) == (4, told.stdout)


def test_parts_without_end_are_refused() -> None:
    parts = "".join(f"  - {{id: p{n}, part: x, count: 100}}\n" for n in range(21))
    text = f"kind: build\nid: x\nmachines: [{{id: m, board: b}}]\nparts:\n{parts}"
    with pytest.raises(InputError, match="2100 parts in all; a build has at most 2000"):
        load_build_text(text, Catalog(()))
