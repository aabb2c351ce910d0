"""
Documents as scripts: what is in their `console` blocks is typed, what follows is compared.

In a block a line that starts with `$ ` is typed; the lines after it, up to the next such line, are
its output. `$ slotfit ...` is run, a backslash at the end of a line continues it, `$ echo $?` tells
how the last command exited. Other commands are for people and are not run. A line of output that
is only `...` stands for any lines. A `yaml` block whose first line is `# file: NAME` is written to
NAME in the folder where the commands run.
"""

from __future__ import annotations

import os
import re
import shlex
import sys
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from unittest.mock import patch

from tests.limits import unhurried

FENCE = re.compile(
    r"^(?P<indent> *)```(?P<kind>\S*)[^\n]*\n(?P<body>.*?)^ *```", re.MULTILINE | re.DOTALL
)
FILE_LINE = re.compile(r"^# file: (\S+)$", re.MULTILINE)
ANYTHING = "..."
ROOT = Path(__file__).parents[2]


@dataclass
class Typed:
    """One command of a document and the output below it."""

    command: str
    """With its continuation lines."""
    output: list[str]
    start: int
    """Where its output begins in the document, in characters."""
    end: int
    indent: str

    @property
    def words(self) -> list[str]:
        """The command as a shell would split it."""
        return shlex.split(self.command.replace("\\\n", " "), comments=True)

    @property
    def is_ours(self) -> bool:
        """Whether it is run."""
        return self.words[:1] == ["slotfit"] or self.command == "echo $?"


def typed_in(text: str) -> Iterator[Typed]:
    """Every command of a document."""
    for block in FENCE.finditer(text):
        if block["kind"] != "console":
            continue
        yield from commands(block["body"], block.start("body"), block["indent"])


def commands(body: str, at: int, indent: str) -> Iterator[Typed]:
    """The commands of one block."""
    typed: Typed | None = None
    for line in body.splitlines(keepends=True):
        words = line.removeprefix(indent).rstrip("\n")
        at += len(line)
        if typed is not None and not typed.output and typed.command.endswith("\\"):
            typed.command += "\n" + words
            typed.start = typed.end = at
        elif words.startswith("$ "):
            if typed is not None:
                yield typed
            typed = Typed(words.removeprefix("$ "), [], at, at, indent)
        elif typed is not None:
            typed.output.append(words)
            typed.end = at
    if typed is not None:
        yield typed


def files_in(text: str) -> Iterator[tuple[str, str]]:
    """Files that a document shows and its commands use: name, content."""
    for block in FENCE.finditer(text):
        body = re.sub(rf"^{block['indent']}", "", block["body"], flags=re.MULTILINE)
        if found := FILE_LINE.match(body):
            yield found[1], body


def run(words: list[str]) -> tuple[int, list[str]]:
    """What a command prints, errors included, and how it exits."""
    from slotfit.cli.main import run as start  # noqa: PLC0415 - only where documents are run

    printed = StringIO()
    with (
        patch.object(sys, "argv", unhurried(words)),
        patch.dict(os.environ, {"COLUMNS": "80", "TERM": "dumb", "NO_COLOR": "1"}),
        redirect_stdout(printed),
        redirect_stderr(printed),
    ):
        try:
            start()
            code = 0
        except SystemExit as stop:
            code = stop.code if isinstance(stop.code, int) else int(stop.code is not None)
    # The catalog lies elsewhere on every machine; documents name it as the checkout does.
    return code, printed.getvalue().replace(f"{ROOT}/", "").splitlines()


def same(shown: list[str], printed: list[str]) -> bool:
    """Whether the output is as shown, `...` standing for any lines."""
    pattern = "".join(".*" if one == ANYTHING else re.escape(one) + "\n" for one in trimmed(shown))
    return bool(re.fullmatch(pattern, "".join(f"{one}\n" for one in trimmed(printed)), re.DOTALL))


def trimmed(lines: list[str]) -> list[str]:
    """Without the empty lines at the end."""
    while lines and not lines[-1].strip():
        lines = lines[:-1]
    return lines


def stage(folder: Path, text: str) -> None:
    """A folder in which a document's commands find what they name and may write."""
    for name in ("examples", "catalog"):
        (folder / name).symlink_to(ROOT / name)
    for name, content in files_in(text):
        (folder / name).write_text(content, "utf-8")
