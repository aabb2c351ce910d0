"""Output that takes any text, shows what a terminal would obey, and says what became of it."""

from __future__ import annotations

import codecs
import io
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from json import dumps
from typing import TextIO

from slotfit.errors import SHOWN, InputError, Mistake

UNREAD = 141
"""128 and the number of SIGPIPE, which ends most programs there: no answer, as it was not read."""


ESCAPES = "slotfit.escapes"


def escaped(error: UnicodeError) -> tuple[str, int]:
    r"""What an encoding has no sign for, as JSON escapes it: `\u00fc`, in text and JSON alike."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return dumps(error.object[error.start : error.end])[1:-1], error.end


OBEYED = {code: text for code, text in SHOWN.items() if chr(code) not in "\n\t"}
"""What may come from a file or a machine; in JSON, as it is written here, it means the same."""


@contextmanager
def shown_controls(stream: TextIO) -> Iterator[None]:
    """Whatever is written to it inside, no terminal obeys it."""
    write = stream.write
    vars(stream).update(write=lambda text: write(text.translate(OBEYED)))
    try:
        yield
    finally:
        vars(stream).update(write=write)


@contextmanager
def told_output() -> Iterator[None]:
    """
    Any text can be printed inside, whatever the locale's encoding.

    A reader that has seen enough (`| head -1`) ends the output in silence, with a code of its own;
    a full disk raises InputError.
    """
    codecs.register_error(ESCAPES, escaped)
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors=ESCAPES)
    try:
        with shown_controls(sys.stdout), shown_controls(sys.stderr):
            try:
                yield
            finally:
                sys.stdout.flush()
    except BrokenPipeError:
        drop_output()
        sys.exit(UNREAD)
    except OSError as error:
        drop_output()
        name = str(error.filename or "standard output")
        raise InputError([Mistake(name, "", f"cannot be used: {error.strerror}")]) from error


def drop_output() -> None:
    """What is still to be written goes nowhere, so that Python does not complain at its end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
