"""The README's commands are what a newcomer types first."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from slotfit.answers.answer_word import EXIT

ROOT = Path(__file__).parents[1]
NOT_SOURCE = shutil.ignore_patterns(".*", "__pycache__", "build", "dist", "plan.svg")


def command_ending(ending: str) -> str:
    """The one line of the README that makes an environment and ends so."""
    readme = (ROOT / "README.md").read_text("utf-8")
    (command,) = re.findall(rf"^python3 -m venv .*{re.escape(ending)}$", readme, flags=re.MULTILINE)
    return str(command)


def test_continuous_integration_finds_the_test_command() -> None:
    """`.ci/run` takes the command from the README by the same two marks."""
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    assert "grep -m 1 '^python3 -m venv .* -m pytest -q$' README.md" in script
    assert "'.[dev]'" in command_ending(" -m pytest -q")


@pytest.mark.long
def test_first_command_draws_a_plan_in_a_fresh_checkout(tmp_path: Path) -> None:
    """Installs from nothing, so it needs a package index."""
    index = [sys.executable, "-m", "pip", "download", "-q", "--no-deps", "-d", str(tmp_path)]
    if subprocess.run([*index, "hatchling"], capture_output=True, check=False).returncode:
        pytest.skip("no package index can be reached")
    checkout = tmp_path / "checkout"
    shutil.copytree(ROOT, checkout, ignore=NOT_SOURCE)
    command = command_ending(" --draw plan.svg")
    done = subprocess.run(
        ["bash", "-c", command], cwd=checkout, capture_output=True, text=True, check=False
    )
    assert done.returncode == EXIT["yes, if"], done.stdout + done.stderr
    assert "<svg" in (checkout / "plan.svg").read_text("utf-8")
