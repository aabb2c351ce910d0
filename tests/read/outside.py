"""Captures of machines to read, and programs to compare with; what is absent is skipped."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from pathlib import Path

import pytest

SAMPLE = Path(__file__).parent / "sample"
"""Of invented machines, written by `invented.py`."""

REAL = Path(__file__).parents[3] / "shared" / "data"
"""A collection of captures of real machines, which may lie beside the checkout."""


def captures(folder: str, pattern: str = "*.txt") -> list[Path]:
    """The captures of one kind: of invented machines, and of real ones where they are there."""
    return [path for root in (SAMPLE, REAL) for path in sorted((root / folder).glob(pattern))]


def real_captures(folder: str, pattern: str = "*.txt") -> list[Path]:
    """The captures of real machines; skips the test where the collection is absent."""
    found = sorted((REAL / folder).glob(pattern))
    if not found:
        pytest.skip("the collection of real captures is not beside this checkout")
    return found


def name_of(path: Path) -> str:
    """A capture's name among all."""
    return f"{path.parent.name}-{path.stem}"


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
