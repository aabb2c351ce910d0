"""Output that takes any text, shows what a terminal would obey, and says what became of it."""

from __future__ import annotations

import codecs
import io
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from json import dumps
from typing import TextIO

from slotfit.answers.text_layout import BAD, BOLD, END, GOOD, as_json, styled
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


STYLES = {BOLD: "\x1b[1m", GOOD: "\x1b[1;32m", BAD: "\x1b[1;31m", END: "\x1b[0m"}
"""Mark -> what a terminal obeys: bold, green, red, and back (ECMA-48, 8.3.117)."""

OBEYED_OR_MEANT = OBEYED | {ord(mark): style for mark, style in STYLES.items()}


def is_styled(stream: TextIO, *, plain: bool = False) -> bool:
    """
    Whether somebody wants to see bold and colours in it.

    `NO_COLOR` by the convention of no-color.org: set to anything but nothing, it is obeyed.
    """
    wanted = not plain and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return wanted and stream.isatty()


def say(
    answer: object, text: Callable[[], str], *, json: bool, plain: bool, **beside: object
) -> None:
    """Print an answer: as JSON, with what stands beside it, or as text in the terminal's style."""
    if json:
        print(as_json(answer, **beside), end="")
        return
    with styled(is_styled(sys.stdout, plain=plain)):
        print(text(), end="")


@contextmanager
def shown_controls(stream: TextIO) -> Iterator[None]:
    """Whatever is written to it inside, no terminal obeys it, but for the styles of `say`."""
    write, table = stream.write, OBEYED_OR_MEANT if is_styled(stream) else OBEYED
    vars(stream).update(write=lambda text: write(text.translate(table)))
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
