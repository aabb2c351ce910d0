"""What needs no solver starts without one, and without whatever else it has no use for."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
BUILD = "examples/demo/build.yaml"

HEAVY = ("ortools", "numpy", "rich", "jinja2", "graphviz", "graphviz_pure", "resvg_py")
"""Libraries that take long to load, each for one kind of answer."""

COMMANDS = (
    "check carrier-m2x4-gen4 workstation",
    "check carrier-m2x4-gen4 server-2p-risers --with nvme-2280-gen4",
    f"check hba {BUILD}",
    "carriers workstation",
    "catalog show workstation",
    "catalog show hba-8i-sas3 --json",
    "catalog list --class riser",
    "catalog search passive",
    "catalog lint workstation",
    "catalog schema board",
    "collect",
    "why --help",
    "sheet --help",
    "--help",
    "--version",
)

LOADED = """
import sys
from slotfit.cli.start import start_quickly
start_quickly()
from slotfit.cli.main import run
try:
    run()
except SystemExit as end:
    assert end.code in (None, 0, 1), end.code
print(*sys.modules, file=sys.stderr)
"""


LOOKED_FOR = """
from slotfit.cli.start import start_quickly
start_quickly()
import pydantic
class Thing(pydantic.BaseModel):
    size: int
assert Thing(size=3).size == 3
import sys
print("importlib.metadata" in sys.modules)
from pydantic.plugin import _loader
print(_loader.PYDANTIC_ENTRY_POINT_GROUP, "importlib.metadata" in sys.modules)
"""


def loaded(command: str) -> list[str]:
    """Every module that a command leaves loaded."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED, *command.split()],
        capture_output=True, text=True, check=True, cwd=ROOT, timeout=60,
    )  # fmt: skip
    assert done.stdout
    return done.stderr.splitlines()[-1].split()


@pytest.mark.parametrize("command", COMMANDS)
def test_nothing_heavy_is_loaded(command: str) -> None:
    modules = loaded(command)
    assert "slotfit.cli.main" in modules
    assert [one for one in modules if one.partition(".")[0] in HEAVY] == []
    assert [one for one in modules if one.startswith("slotfit.solve")] == []


def test_a_row_is_drawn_without_the_layout_program() -> None:
    modules = loaded(f"draw {BUILD}")
    assert "ortools" in modules
    assert "graphviz" not in modules


def test_a_verb_reads_its_own_module_only() -> None:
    modules = loaded("check carrier-m2x4-gen4 workstation")
    assert [one for one in modules if one.startswith("slotfit.cli.cmd_")] == [
        "slotfit.cli.cmd_check"
    ]


def test_only_the_kinds_that_are_read_get_a_validator() -> None:
    """Building one takes milliseconds; what slotfit makes itself needs none."""
    code = (
        "from slotfit import api; from slotfit.load.catalog import standard_catalog as known\n"
        "from slotfit.model.build import Build; from slotfit.model.sequence import Sequence\n"
        "from slotfit.model.board import Arrangement, Board, LaneGroup, Split\n"
        "known().load('workstation', Board)\n"
        "kinds = (Board, Arrangement, LaneGroup, Split, Build, Sequence)\n"
        "print(*(kind.__name__ for kind in kinds if kind.__pydantic_complete__))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.split() == ["Board"]


def test_plugins_are_not_looked_for_and_their_module_is_there_all_the_same() -> None:
    """Whatever else pydantic may ask of that module comes from the real one."""
    done = subprocess.run(
        [sys.executable, "-c", LOOKED_FOR], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.splitlines() == ["False", "pydantic True"]


ENDED = """
import atexit, sys
atexit.register(print, "taken apart")
{first}
sys.argv[1:] = {words}
from slotfit.cli.start import run
run()
"""


def end_of(words: list[str], first: str = "") -> tuple[int, str]:
    """Exit code and output of a run that would say so if the interpreter took itself apart."""
    done = subprocess.run(
        [sys.executable, "-c", ENDED.format(first=first, words=words)],
        capture_output=True, text=True, check=False, cwd=ROOT, timeout=60,
    )  # fmt: skip
    return done.returncode, done.stdout


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (["--version"], 0),
        (["check", "carrier-m2x4-gen4", "desktop-small", "--slot", "sata1"], 1),
        (["check", "no-such-part", "workstation"], 2),
    ],
)
def test_a_quick_answer_is_whole_and_ends_at_once(words: list[str], code: int) -> None:
    ended, output = end_of(words)
    assert ended == code
    assert "taken apart" not in output
    assert output.endswith("\n") or code == 2


def test_what_started_more_ends_the_usual_way() -> None:
    ended, output = end_of(["--version"], first="import multiprocessing")
    assert ended == 0
    assert output.endswith("taken apart\n")
