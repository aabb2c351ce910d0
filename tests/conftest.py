"""How random tests run: the same every time by default, at length and at random with -m long."""

import os

import pytest
from hypothesis import settings

settings.register_profile("default", deadline=None, derandomize=True)
settings.register_profile("long", deadline=None, max_examples=1000, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "default"))


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--update` writes the golden files anew instead of comparing with them."""
    parser.addoption("--update", action="store_true", help="rewrite golden files")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """What tests want said at the end, from whichever process they ran in."""
    for report in (*terminalreporter.getreports("passed"), *terminalreporter.getreports("failed")):
        for name, text in report.user_properties:
            terminalreporter.write_line(f"{name}: {text}")
