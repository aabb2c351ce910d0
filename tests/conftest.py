"""How tests run: random ones the same every time by default, at length where a profile asks."""

import gc
import os
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis.internal.conjecture import providers
from hypothesis.internal.constants_ast import Constants

from slotfit.files import catalog_root
from slotfit.load import catalog, entities

settings.register_profile("default", deadline=None, derandomize=True, max_examples=40)
settings.register_profile("more", deadline=None, derandomize=True, max_examples=100)
settings.register_profile("long", deadline=None, max_examples=1000, print_blob=True)
PROFILE = os.environ.get("HYPOTHESIS_PROFILE", "default")
settings.load_profile(PROFILE)

if PROFILE != "long" and hasattr(providers, "_get_local_constants"):
    # Hypothesis draws from the constants of all modules loaded by then as well: which those are
    # hangs on what else the process has run, so that no two runs would try the same.
    providers._get_local_constants = Constants


CATALOG = catalog_root()
read_once = cache(entities.read_file)


def read_file(path: Path, *kind: Any, **named: Any) -> Any:
    """As the loader reads it; a description of the catalog that comes along once for all tests."""
    read = read_once if path.is_relative_to(CATALOG) else entities.read_file
    return read(path, *kind, **named)


vars(catalog)["read_file"] = read_file


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--update` writes the golden files anew instead of comparing with them."""
    parser.addoption("--update", action="store_true", help="rewrite golden files")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """What tests want said at the end, from whichever process they ran in."""
    for report in (*terminalreporter.getreports("passed"), *terminalreporter.getreports("failed")):
        for name, text in report.user_properties:
            terminalreporter.write_line(f"{name}: {text}")


def pytest_collection_finish() -> None:
    """What is collected stays: looking for garbage in it takes a sixth of the time."""
    gc.freeze()
    gc.set_threshold(100_000, 20, 50)
