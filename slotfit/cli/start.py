"""Where the command begins and ends: all else is loaded once Ctrl-C is listened for."""

from __future__ import annotations

import gc
import os
import signal
import sys
from types import FrameType
from typing import TextIO

STOPPED = 130
"""128 and the number of SIGINT, as shells count."""

MANY_OBJECTS = 500_000
"""Garbage is looked for when so many objects are new: starting up makes many and keeps them all."""


FAULT = 70
"""EX_SOFTWARE of sysexits.h."""


def open_streams() -> None:
    """
    Streams that were closed are there again, so that no file gets their numbers.

    Nobody reads an output that was closed: the first that is written to it finds that out. What
    goes to a closed error stream, or to one that nobody reads, is lost: the answer stands.
    """
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # gets the lowest number that is free: this one
    if sys.stdout is None:
        reader, writer = os.pipe()
        os.close(reader)
        os.dup2(writer, 1)
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115 - to the end
    if sys.stderr is None:
        sys.stderr = open(2, "w", encoding="utf-8", closefd=False)  # noqa: SIM115 - to the end
    forgive(sys.stderr)


def forgive(stream: TextIO) -> None:
    """What cannot be written to it is lost."""
    write, flush = stream.write, stream.flush

    def try_to_write(text: str) -> int:
        try:
            return write(text)
        except OSError:
            return len(text)

    def try_to_flush() -> None:
        try:
            flush()
        except OSError:
            return

    vars(stream).update(write=try_to_write, flush=try_to_flush)


def heed_until_told(output: TextIO) -> None:
    """Ctrl-C is heeded until the answer is told, all at once and last: half an answer is none."""
    write = output.write

    def last(text: str) -> int:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        return write(text)

    vars(output).update(write=last)


def told_fault(fault: BaseException) -> int:
    """The exit code of what should not happen, once it is said where its traceback lies."""
    import tempfile  # noqa: PLC0415 - rarely wanted
    from traceback import format_exception  # noqa: PLC0415 - the same

    name = type(fault).__name__
    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="slotfit-fault-", suffix=".txt", delete=False,
            encoding="utf-8", errors="backslashreplace",
        ) as file:  # fmt: skip
            file.write(f"Python {sys.version}\n{''.join(format_exception(fault))}")
        put = f"the traceback is in {file.name}"
    except OSError as error:
        put = f"the traceback could not be written ({error.strerror})"
    print(f"slotfit has a fault ({name}): please report it; {put}", file=sys.stderr)
    return FAULT


def run() -> None:
    """Start the command line; the console script's entry."""
    came: list[int] = []

    def interrupted(number: int, frame: FrameType | None) -> None:  # noqa: ARG001 - as called
        came.append(number)
        raise KeyboardInterrupt

    try:
        signal.signal(signal.SIGINT, interrupted)
        open_streams()
        heed_until_told(sys.stdout)
        gc.set_threshold(MANY_OBJECTS)
        from slotfit.cli.main import run as begin  # noqa: PLC0415 - takes a while to load

        begin()
    except SystemExit as end:
        if not came or end.code != STOPPED:
            raise
    except BaseException as fault:  # noqa: BLE001 - nothing lies above
        # In the midst of loading a library Ctrl-C comes out as that library's failure.
        if not came and not isinstance(fault, KeyboardInterrupt):
            sys.exit(told_fault(fault))
        came.append(signal.SIGINT)
    if not came:
        return
    print("stopped before there was anything to tell", file=sys.stderr)
    sys.exit(STOPPED)
