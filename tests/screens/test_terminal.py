"""A terminal adapts: its width, bold and two colours, and none of them where nobody wants them."""

from __future__ import annotations

import io
import os
import pty
import re
import subprocess
import sys
from functools import cache
from pathlib import Path
from struct import pack

import pytest

from slotfit.answers.text_layout import BAD, BOLD, END, GOOD, joined, marked, styled
from slotfit.cli import output, progress

ROOT = Path(__file__).parents[2]
STYLE = re.compile(r"\x1b\[[0-9;]*m")
"""Select graphic rendition (ECMA-48, 8.3.117)."""
CHECK = ("check", "nic-10g-2p", "desktop-small")


def typed_at(width: int, *words: str, **variables: str) -> str:
    """What a terminal of that width shows of a command."""
    fcntl = pytest.importorskip("fcntl")
    termios = pytest.importorskip("termios")
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, pack("HHHH", 50, width, 0, 0))
    hidden = ("COLUMNS", "LINES", "NO_COLOR")
    known = {name: value for name, value in os.environ.items() if name not in hidden}
    with subprocess.Popen(
        [sys.executable, "-m", "slotfit", *words],
        stdout=theirs, stderr=theirs, stdin=theirs, cwd=ROOT,
        env=known | {"TERM": "xterm"} | variables,
    ):  # fmt: skip
        os.close(theirs)
        shown = b""
        while True:
            try:
                more = os.read(ours, 65536)
            except OSError:  # what Linux says where the other end is closed
                break
            if not more:
                break
            shown += more
    os.close(ours)
    return shown.decode().replace("\r\n", "\n")


def piped(*words: str, **variables: str) -> str:
    """The same where no terminal reads it."""
    return subprocess.run(
        [sys.executable, "-m", "slotfit", *words],
        cwd=ROOT, capture_output=True, text=True, check=False, env=os.environ | variables,
    ).stdout  # fmt: skip


@cache
def coloured() -> str:
    return typed_at(110, *CHECK)


def test_bold_and_colours_say_nothing_that_words_do_not() -> None:
    """Without its styles a terminal shows what a pipe gets, which has none."""
    plain = piped(*CHECK, COLUMNS="110")
    assert STYLE.search(coloured())
    assert "\x1b" not in plain
    assert STYLE.sub("", coloured()) == plain
    assert {*STYLE.findall(coloured())} <= {*output.STYLES.values()}


def test_the_terminals_own_width_is_used() -> None:
    narrow, wide = typed_at(50, *CHECK, NO_COLOR="1"), STYLE.sub("", coloured())
    assert max(map(len, narrow.splitlines())) <= 50
    assert 80 < max(map(len, wide.splitlines())) <= 110
    assert narrow.split() == wide.split()


@pytest.mark.long
def test_plain_is_plain() -> None:
    assert "\x1b" not in typed_at(110, *CHECK, "--plain")


@pytest.mark.parametrize(
    ("variables", "terminal", "is_styled"),
    [
        ({"TERM": "xterm"}, True, True),
        ({"TERM": "xterm"}, False, False),
        ({"TERM": "xterm", "NO_COLOR": ""}, True, True),  # present and not empty (no-color.org)
        ({"TERM": "xterm", "NO_COLOR": "1"}, True, False),
        ({"TERM": "xterm", "NO_COLOR": "0"}, True, False),
        ({"TERM": "dumb"}, True, False),
    ],
)
def test_styles_are_there_where_they_are_wanted(
    variables: dict[str, str],
    monkeypatch: pytest.MonkeyPatch,
    *,
    terminal: bool,
    is_styled: bool,
) -> None:
    monkeypatch.setattr(os, "environ", variables)
    stream = io.StringIO()
    stream.isatty = lambda: terminal  # type: ignore[method-assign]
    assert output.is_styled(stream) is is_styled
    assert not output.is_styled(stream, plain=True)


def test_no_name_from_a_file_is_taken_for_a_style() -> None:
    """Neither a mark nor an escape of a terminal's, in a line that is styled or not."""
    name = f"card{BOLD}{GOOD}{BAD}{END}\x1b[31m"
    with styled(wanted=True):
        text = joined([name, *marked([name], GOOD)])
    assert text == f"card\x1b[31m\n{GOOD}card\x1b[31m{END}\n"
    shown = io.StringIO()
    shown.isatty = lambda: True  # type: ignore[method-assign]
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("NO_COLOR", raising=False)
        patch.setenv("TERM", "xterm")
        with output.shown_controls(shown):
            shown.write(text)
    assert shown.getvalue() == "card\\u001b[31m\n\x1b[1;32mcard\\u001b[31m\x1b[0m\n"


class Clock:
    """A clock that goes on when told."""

    now = 0.0

    def monotonic(self) -> float:
        return self.now


@pytest.mark.parametrize(("every", "lines"), [(4.0, 3), (11.0, 10), (0.1, 0)])
def test_long_work_is_told_where_nobody_sees_a_line_change(
    every: float, lines: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ten stages: none is told before the first ten seconds, then at most one in ten."""
    clock = Clock()
    monkeypatch.setattr(progress, "time", clock)
    monkeypatch.setattr(progress, "EVERY_SECONDS", 10.0)
    with progress.shown_progress() as show:
        for stage in range(10):
            clock.now += every
            show("drives", stage, 10)
    captured = capsys.readouterr()
    assert captured.out == ""
    told = captured.err.splitlines()
    assert len(told) == lines
    assert all(re.fullmatch(r"slotfit: \d+ of 10: drives", line) for line in told)


def help_pages() -> list[list[str]]:
    from slotfit.cli.main import VERBS  # noqa: PLC0415 - loads every command
    from tests.docs.reference import UNDER_CATALOG  # noqa: PLC0415 - the same

    return [[verb] for verb in VERBS] + [["catalog", name] for name in UNDER_CATALOG]


def test_help_is_in_whole_sentences_and_plain_types() -> None:
    from tests.docs.console import run  # noqa: PLC0415 - loads the command line

    for words in help_pages():
        text = "\n".join(run(["slotfit", *words, "--help"])[1])
        assert not re.search(r"<(?:str|path|int|float|list|bool|Path)|TEXT|INTEGER|FLOAT", text)
        _, _, rest = text.partition("Options:")
        for one in re.split(r"\n  (?=-)", f"\n{rest.strip()}".replace("\n-", "\n  -")):
            said = re.sub(r" \[[^\]]*\]$", "", " ".join(one.split()))
            assert not said or said.endswith((".", "...")), (words, said)


def test_the_overview_of_commands_has_whole_sentences() -> None:
    from tests.docs.console import run  # noqa: PLC0415 - loads the command line

    text = "\n".join(run(["slotfit", "--help"])[1]).partition("Commands:")[2]
    for one in re.split(r"\n  (?=\w)", text.strip("\n")):
        assert one.rstrip().endswith("."), one
        assert "..." not in one


@pytest.mark.parametrize(
    ("typed", "offered"),
    [("slotfit pl", ["place"]), ("slotfit place --se", ["--seconds"])],
)
def test_the_shell_completes_commands_and_options(
    typed: str,
    offered: list[str],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """As bash asks by the script of `--show-completion`."""
    from slotfit.cli.main import run  # noqa: PLC0415 - loads every command

    monkeypatch.setattr(sys, "argv", ["slotfit"])
    monkeypatch.setenv("_SLOTFIT_COMPLETE", "complete_bash")
    monkeypatch.setenv("COMP_WORDS", typed)
    monkeypatch.setenv("COMP_CWORD", str(len(typed.split()) - 1))
    with pytest.raises(SystemExit):
        run()
    assert capsys.readouterr().out.split() == offered
