"""A command typed at the terminal: what it prints on either stream, and how it exits."""

from __future__ import annotations

import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from unittest.mock import patch

from slotfit.cli.main import run
from tests.limits import unhurried


@dataclass(frozen=True)
class Done:
    code: int
    out: str
    err: str


def typed(*words: str) -> Done:
    out, err = StringIO(), StringIO()
    with (
        patch.object(sys, "argv", unhurried(["slotfit", *words])),
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        try:
            run()
            code = 0
        except SystemExit as stop:
            code = stop.code if isinstance(stop.code, int) else int(stop.code is not None)
    return Done(code, out.getvalue(), err.getvalue())
