"""How a command ends: with a code that is promised, whatever goes wrong and whatever is closed."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from itertools import product
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SLOTFIT = f"{sys.executable} -m slotfit"


def bash(line: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """A line of shell with `slotfit` in it, from the checkout's top."""
    words = f'slotfit() {{ {SLOTFIT} "$@"; }}; {line}'
    return subprocess.run(
        ["bash", "-c", words], capture_output=True, text=True, check=False, cwd=ROOT,
        env=os.environ | environment,
    )  # fmt: skip


BREAK = """
import sys
sys.argv[1:] = ["collect"]
from slotfit.cli import main, start
def fail(app):
    raise KeyError("what was in the file")
main.begin = fail
start.run()
"""


@pytest.mark.parametrize("folder", ["there", "gone"])
def test_a_fault_of_its_own_is_no_answer(folder: str, tmp_path: Path) -> None:
    """EX_SOFTWARE of sysexits.h is 70 (from memory); 1 would mean that the answer is no."""
    place = tmp_path / folder
    if folder == "there":
        place.mkdir()
    told = subprocess.run(
        [sys.executable, "-c", BREAK], capture_output=True, text=True, check=False,
        env=os.environ | {"TMPDIR": str(place)},
    )  # fmt: skip
    assert told.returncode == 70
    assert told.stdout == ""
    (line,) = told.stderr.splitlines()
    assert "please report it" in line
    assert "what was in the file" not in line
    if folder == "there":
        (file,) = place.iterdir()
        assert str(file) in line
        assert "KeyError: 'what was in the file'" in file.read_text("utf-8")


FEW = [("", ">&-", ""), ("", "", "2>&-"), ("<&-", ">&-", "2>&-"), ("", "", "2>/dev/full")]


def ends_as_promised(*streams: str) -> None:
    """An answer, and a mistake, with some streams closed."""
    closed = " ".join(streams)
    told = bash(f"slotfit catalog schema board {closed}; echo $?")
    if ">&-" in streams:
        assert told.stdout == "141\n"
    else:
        assert told.stdout.startswith("{")
        assert told.stdout.endswith("}\n0\n")
    wrong = bash(f"slotfit catalog schema nothing {closed}; echo $?")
    assert wrong.stdout == "2\n"
    assert bool(wrong.stderr) == ("2>" not in closed)


@pytest.mark.parametrize("streams", FEW, ids=" ".join)
def test_whatever_is_closed_the_answer_is_given_or_said_to_be_unread(
    streams: tuple[str, ...],
) -> None:
    ends_as_promised(*streams)


@pytest.mark.long
@pytest.mark.parametrize(
    "words", ["place examples/demo/build.yaml", "--version", "check --help", "catalog list"]
)
def test_every_command_says_that_a_closed_output_was_not_read(words: str) -> None:
    for streams in product(("", "<&-"), ("", "2>&-", "2>/dev/full")):
        ends_as_promised(*streams)
        told = bash(f"slotfit {words} >&- {' '.join(streams)}")
        assert (told.returncode, told.stderr) == (141, "")


def test_a_closed_error_stream_takes_nothing_from_a_plan() -> None:
    told, whole = (bash(f"slotfit place examples/demo/build.yaml {end}") for end in ("2>&-", ""))
    assert (told.returncode, told.stdout) == (4, whole.stdout)


def test_no_file_is_written_to_by_the_number_of_a_closed_stream(tmp_path: Path) -> None:
    file = tmp_path / "row.svg"
    told = bash(f"slotfit catalog show workstation --draw {file} <&- >&- 2>&-")
    assert told.returncode == 141
    assert file.read_text("utf-8").startswith("<svg")


WORK = """
import sys, time
from slotfit.cli.workers import workers
with workers(2) as pool:
    for _ in range(2):
        pool.submit(time.sleep, 600)
    print(*pool._processes, flush=True)
    time.sleep(600)
"""


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="no /proc here")
@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGKILL])
def test_workers_do_not_outlive_what_began_them(how: signal.Signals) -> None:
    with subprocess.Popen([sys.executable, "-c", WORK], stdout=subprocess.PIPE, text=True) as run:
        assert run.stdout
        workers = run.stdout.readline().split()
        run.send_signal(how)
    assert len(workers) == 2
    until_gone(workers)


def until_gone(processes: list[str], seconds: float = 30.0) -> None:
    """Fails if they are still there after very long."""
    end = time.monotonic() + seconds
    while left := [one for one in processes if alive(one)]:
        assert time.monotonic() < end, left
        time.sleep(0.02)


def alive(process: str) -> bool:
    """Whether it is there, and not merely waited for."""
    try:
        state = Path(f"/proc/{process}/stat").read_text("utf-8").rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state != "Z"


@pytest.mark.long
@pytest.mark.skipif(not Path("/proc/self").exists(), reason="no /proc here")
def test_a_compare_that_is_killed_leaves_nothing_at_work() -> None:
    words = [sys.executable, "-m", "slotfit", "compare", "examples/demo/build.yaml", "--every"]
    with subprocess.Popen(words, cwd=ROOT, stdout=subprocess.DEVNULL) as run:
        children = Path(f"/proc/{run.pid}/task/{run.pid}/children")
        while len(workers := children.read_text("utf-8").split()) < 2:
            time.sleep(0.02)
        run.kill()
    until_gone(workers)


READS = """
import sys
seen = []
sys.addaudithook(lambda event, args: event == "open" and seen.append(str(args[0])))
from slotfit.cli.main import run
try:
    run()
finally:
    print(sum(one.endswith("/hba-8i-sas3.yaml") for one in seen), file=sys.stderr)
"""


@pytest.mark.parametrize("words", [[], ["--json"]])
def test_a_description_that_is_shown_is_read_once(words: list[str]) -> None:
    command = [sys.executable, "-c", READS, "catalog", "show", "hba-8i-sas3", *words]
    told = subprocess.run(command, capture_output=True, text=True, check=True)
    assert told.stderr == "2\n"  # its first lines for the kind, and then all of it
