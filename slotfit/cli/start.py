"""Where the command begins: everything else is loaded once Ctrl-C is listened for."""

from __future__ import annotations

import signal
import sys
from types import FrameType

STOPPED = 130
"""128 and the number of SIGINT, as shells count."""


def run() -> None:
    """Start the command line; the console script's entry."""
    came: list[int] = []

    def interrupted(number: int, frame: FrameType | None) -> None:  # noqa: ARG001 - as called
        came.append(number)
        raise KeyboardInterrupt

    try:
        signal.signal(signal.SIGINT, interrupted)
        from slotfit.cli.main import run as begin  # noqa: PLC0415 - takes a while to load

        begin()
    except BaseException as error:
        # In the midst of loading a library Ctrl-C comes out as that library's failure.
        if not came or (isinstance(error, SystemExit) and error.code != STOPPED):
            raise
        print("stopped before there was anything to tell", file=sys.stderr)
        sys.exit(STOPPED)
