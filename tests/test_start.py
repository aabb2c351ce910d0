"""What needs no solver starts without one, and without whatever else it has no use for."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from slotfit.cli.main import VERBS

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
    "catalog list riser",
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
from slotfit.cli.main import run
for command in sys.argv[1:]:
    sys.argv = ["slotfit", *command.split()]
    try:
        run()
    except SystemExit as end:
        assert end.code in (None, 0, 1, 4), end.code
    print(*sys.modules, file=sys.stderr)
"""


def loaded(*commands: str) -> list[list[str]]:
    """Every module loaded after each of some commands that one process runs."""
    done = subprocess.run(
        [sys.executable, "-c", LOADED, *commands],
        capture_output=True, text=True, check=True, cwd=ROOT,
    )  # fmt: skip
    assert done.stdout
    return [line.split() for line in done.stderr.splitlines()[-len(commands) :]]


def test_nothing_heavy_is_loaded() -> None:
    """Not by all of them together, and so by none of them."""
    for command, modules in zip(COMMANDS, loaded(*COMMANDS), strict=True):
        assert "slotfit.cli.main" in modules
        assert [one for one in modules if one.partition(".")[0] in HEAVY] == [], command


def test_a_row_is_drawn_without_the_layout_program() -> None:
    (modules,) = loaded(f"draw {BUILD}")
    assert "ortools" in modules
    assert "graphviz" not in modules


def test_a_verb_reads_its_own_module_only() -> None:
    (modules,) = loaded("check carrier-m2x4-gen4 workstation")
    verbs = {f"slotfit.cli.{module}" for module in VERBS.values()}
    assert verbs.intersection(modules) == {"slotfit.cli.check"}


def test_only_the_kinds_that_are_read_get_a_validator() -> None:
    """Building one takes milliseconds; what slotfit makes itself needs none."""
    code = (
        "import slotfit.answers.check.check\n"
        "from slotfit.load.catalog import standard_catalog as known\n"
        "from slotfit.model.build import Build, Sequence\n"
        "from slotfit.model.board import Arrangement, Board, LaneGroup, Split\n"
        "known().load('workstation', Board)\n"
        "kinds = (Board, Arrangement, LaneGroup, Split, Build, Sequence)\n"
        "print(*(kind.__name__ for kind in kinds if kind.__pydantic_complete__))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["Board"]
