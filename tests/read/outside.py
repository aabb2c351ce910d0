"""Things from outside the checkout that some tests compare with; each is skipped where absent."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest

DATA = Path(__file__).parents[3] / "shared" / "data"


def captures(folder: str, pattern: str = "*.txt") -> list[Path]:
    """The captures of one kind; an empty list where the collection is absent."""
    return sorted((DATA / folder).glob(pattern))


def need_captures(folder: str, pattern: str = "*.txt") -> list[Path]:
    """The captures of one kind; skips the test where the collection is absent."""
    found = captures(folder, pattern)
    if not found:
        pytest.skip("the collection of real captures is not beside this checkout")
    return found


def need(program: str) -> str:
    """The path of a program; skips the test where it is not installed."""
    found = shutil.which(program)
    if found is None:
        pytest.skip(f"{program} is not installed")
    return found


def run(*command: str, data: bytes | None = None) -> str:
    """What a program prints."""
    done = subprocess.run(command, input=data, capture_output=True, check=False, timeout=60)
    return done.stdout.decode("utf-8", "replace")


def lspci_prints(text: str, *options: str) -> str:
    """What the listing tool prints of a dump; skips the test where it is not installed."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "dump.txt"
        path.write_text(text, encoding="utf-8")
        return run(need("lspci"), "-F", str(path), *(options or ("-Dvvvnn",)))
