"""What is being worked on: one line that changes on a terminal, a line now and then elsewhere."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from shutil import get_terminal_size

QUIET_SECONDS = 0.5
"""Shorter work shows nothing on a terminal."""

EVERY_SECONDS = 10.0
"""Where the error stream goes elsewhere there is a line so often, and none before."""


@contextmanager
def shown_progress() -> Iterator[Callable[[str, int, int], None]]:
    """A function to call with a stage's name, its number and their count."""
    said = began = time.monotonic()
    written = False

    def show(stage: str, number: int, stages: int) -> None:
        nonlocal written, said
        now, text = time.monotonic(), f"{number + 1} of {stages}: {stage}"
        if not sys.stderr.isatty():
            if now - said > EVERY_SECONDS:
                print(f"slotfit: {text}", flush=True, file=sys.stderr)
                said = now
        elif now - began > QUIET_SECONDS:
            erase()
            room = get_terminal_size().columns - 1  # a line that runs on cannot be erased
            print(f"  {text}"[:room], end="", flush=True, file=sys.stderr)
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
