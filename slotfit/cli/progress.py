"""What is being worked on, on a terminal; nothing where the output goes elsewhere."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

QUIET_SECONDS = 0.5
"""Shorter work shows nothing."""


@contextmanager
def shown_progress() -> Iterator[Callable[[str, int, int], None]]:
    """A function to call with a stage's name, its number and their count."""
    began = time.monotonic()
    written = False

    def show(stage: str, number: int, stages: int) -> None:
        nonlocal written
        if sys.stderr.isatty() and time.monotonic() - began > QUIET_SECONDS:
            erase()
            print(f"  {number + 1} of {stages}: {stage}", end="", flush=True, file=sys.stderr)
            written = True

    try:
        yield show
    finally:
        if written:
            erase()


def erase() -> None:
    """The line that is shown goes: the one thing that a terminal is told to do."""
    sys.stderr.flush()
    with suppress(OSError):
        os.write(sys.stderr.fileno(), b"\r\033[K")
