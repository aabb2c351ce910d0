"""Where the command begins: everything else is loaded once Ctrl-C is listened for."""

from __future__ import annotations

import gc
import signal
import sys
from types import FrameType
from typing import TextIO

STOPPED = 130
"""128 and the number of SIGINT, as shells count."""

MANY_OBJECTS = 500_000
"""Garbage is looked for when so many objects are new: starting up makes many and keeps them all."""


def heed_until_told(output: TextIO) -> None:
    """Ctrl-C is heeded until the answer is told, all at once and last: half an answer is none."""
    write = output.write

    def first(text: str) -> int:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        setattr(output, "write", write)  # noqa: B010 - the type has it as a method
        return write(text)

    setattr(output, "write", first)  # noqa: B010 - the same


def run() -> None:
    """Start the command line; the console script's entry."""
    came: list[int] = []

    def interrupted(number: int, frame: FrameType | None) -> None:  # noqa: ARG001 - as called
        came.append(number)
        raise KeyboardInterrupt

    try:
        signal.signal(signal.SIGINT, interrupted)
        if sys.stdout is not None:
            heed_until_told(sys.stdout)
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
