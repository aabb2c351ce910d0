"""Where the command begins: everything else is loaded once Ctrl-C is listened for."""

from __future__ import annotations

import atexit
import gc
import os
import signal
import sys
from types import FrameType

STOPPED = 130
"""128 and the number of SIGINT, as shells count."""


MANY_OBJECTS = 500_000
"""Garbage is looked for when so many objects are new: starting up makes many and keeps them all."""


def start_quickly() -> None:
    """
    Leave out what a short run has no use for.

    Garbage is looked for rarely, and not at all at the end, when everything goes. Pydantic's
    plugins are not looked for: that reads the metadata of every package installed.
    """
    gc.set_threshold(MANY_OBJECTS)
    atexit.register(gc.freeze)
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")


def run() -> None:
    """Start the command line; the console script's entry."""
    came: list[int] = []

    def interrupted(number: int, frame: FrameType | None) -> None:  # noqa: ARG001 - as called
        came.append(number)
        raise KeyboardInterrupt

    try:
        signal.signal(signal.SIGINT, interrupted)
        start_quickly()
        from slotfit.cli.main import run as begin  # noqa: PLC0415 - takes a while to load

        begin()
    except BaseException as error:
        # In the midst of loading a library Ctrl-C comes out as that library's failure.
        if not came or (isinstance(error, SystemExit) and error.code != STOPPED):
            raise
        print("stopped before there was anything to tell", file=sys.stderr)
        sys.exit(STOPPED)
