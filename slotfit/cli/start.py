"""Where the command begins: everything else is loaded once Ctrl-C is listened for."""

from __future__ import annotations

import gc
import signal
import sys
from types import FrameType

STOPPED = 130
"""128 and the number of SIGINT, as shells count."""

MANY_OBJECTS = 500_000
"""Garbage is looked for when so many objects are new: starting up makes many and keeps them all."""


def run() -> None:
    """Start the command line; the console script's entry."""
    came: list[int] = []

    def interrupted(number: int, frame: FrameType | None) -> None:  # noqa: ARG001 - as called
        came.append(number)
        raise KeyboardInterrupt

    try:
        signal.signal(signal.SIGINT, interrupted)
        gc.set_threshold(MANY_OBJECTS)
        from slotfit.cli.main import run as begin  # noqa: PLC0415 - takes a while to load

        begin()
    except SystemExit as end:
        if not came or end.code != STOPPED:
            raise
    except BaseException:
        # In the midst of loading a library Ctrl-C comes out as that library's failure.
        if not came:
            raise
    if not came:
        return
    print("stopped before there was anything to tell", file=sys.stderr)
    sys.exit(STOPPED)
