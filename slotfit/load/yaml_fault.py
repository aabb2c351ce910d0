"""A file that is no YAML: what is most likely wrong, and where."""

from __future__ import annotations

import re
from collections.abc import Iterator

import yaml

from slotfit.errors import Mistake
from slotfit.load.yaml_text import LOADER
from slotfit.model.entity import Span

TAB = "a tab where only spaces may stand; indent with spaces"
LINE_HINTS = (
    (re.compile(r"^\s*:"), "a key is missing before the colon"),
    (re.compile(r"^\s*-[^\s\d-]"), "a list item begins with a hyphen and a space: write `- `"),
    (
        re.compile(r"^\s*(?:- )?[^\s'\"#{\[:][^:]*:\s+[^'\"#{\[\s][^#]*:(?:\s|$)"),
        "a text with a colon in it; put the text in quotes",
    ),
    (
        re.compile(r"^\s*- "),
        "a list item where a key should be; are the lines above indented alike?",
    ),
    (
        re.compile(r"^%"),
        "a directive; leave the line out",
    ),
    (
        re.compile(r"^\s*[@`]"),
        "a line or text cannot begin with this character; put the text in quotes",
    ),
)
"""What the faulty line looks like -> what it most likely means; the first that matches counts."""


def faults_of(error: yaml.YAMLError, text: str, file: str) -> list[Mistake]:
    """The parser's complaint in words, or every bracket that it stumbled over."""
    open_ = [
        Mistake(Span(file, mark.line + 1, mark.column + 1), "", f"the `{sign}` {words}")
        for sign, mark, words in unmatched(text)
    ]
    return open_ or [fault_of(error, text, file)]


BRACKETS: dict[type[yaml.Token], tuple[str, str]] = {
    yaml.FlowSequenceStartToken: ("[", "]"),
    yaml.FlowMappingStartToken: ("{", "}"),
}
"""Token that opens -> its sign, and the sign that closes it."""

CLOSING: dict[type[yaml.Token], str] = {
    yaml.FlowSequenceEndToken: "]",
    yaml.FlowMappingEndToken: "}",
}

UNCLOSED = "that opens here is never closed"


def unmatched(text: str) -> Iterator[tuple[str, yaml.Mark, str]]:
    """
    Brackets that are never closed, and those that close nothing: sign, place, what is wrong.

    Where the text cannot be read to its end, what is open there may be closed behind it.
    """
    open_: list[yaml.Token] = []
    try:
        for token in yaml.scan(text, Loader=LOADER):
            if type(token) in BRACKETS:
                open_.append(token)
            elif sign := CLOSING.get(type(token)):
                yield from closed_by(sign, token, open_)
    except yaml.YAMLError:
        return
    for token in open_:
        yield from unclosed(token)


def closed_by(
    sign: str, token: yaml.Token, open_: list[yaml.Token]
) -> Iterator[tuple[str, yaml.Mark, str]]:
    """What is wrong with a closing bracket; what it closes goes from `open_`."""
    if not open_:
        yield sign, token.start_mark, "closes nothing"
        return
    fits = [BRACKETS[type(one)][1] == sign for one in open_]
    if not any(fits):  # one of the other kind was meant
        yield from unclosed(open_.pop())
        return
    while not fits.pop():
        yield from unclosed(open_.pop())
    open_.pop()


def unclosed(token: yaml.Token) -> Iterator[tuple[str, yaml.Mark, str]]:
    """One bracket that nothing closes."""
    yield BRACKETS[type(token)][0], token.start_mark, UNCLOSED


def fault_of(error: yaml.YAMLError, text: str, file: str) -> Mistake:
    """The parser's complaint as one mistake, with a hint taken from the lines themselves."""
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    if not isinstance(error, yaml.MarkedYAMLError) or mark is None:
        return Mistake(file, "", f"not YAML: {' '.join(str(error).split())}")
    lines = text.splitlines()
    line = lines[mark.line] if mark.line < len(lines) else ""
    where = Span(file, mark.line + 1, mark.column + 1)
    if opened := left_open(error, line, mark.line):
        sign = lines[opened.line][opened.column]
        where = Span(file, opened.line + 1, opened.column + 1)
        return Mistake(where, "", f"the `{sign}` {UNCLOSED}")
    said = (
        tab(line, mark.column)
        or deeper(lines[: mark.line], line)
        or next((words for pattern, words in LINE_HINTS if pattern.match(line)), None)
    )
    return Mistake(where, "", said or f"not YAML: {error.problem}")


def tab(line: str, column: int) -> str | None:
    indent = line[: len(line) - len(line.lstrip())]
    return TAB if "\t" in indent or line[column : column + 1] == "\t" else None


def left_open(error: yaml.MarkedYAMLError, line: str, number: int) -> yaml.Mark | None:
    """Where a quote or bracket begins that never ends."""
    opened = error.context_mark
    flow = "flow" in (error.context or "") or "quoted" in (error.context or "")
    column = error.problem_mark.column if error.problem_mark else 0
    if opened is None or not flow or (opened.line == number and column < len(line)):
        return None
    return opened


def deeper(before: list[str], line: str) -> str | None:
    """A line that is indented though nothing above it opens a new level."""
    above = next((one for one in reversed(before) if one.strip() and one.strip()[0] != "#"), "")
    is_deeper = indent_of(line) > indent_of(above)
    if is_deeper and above.lstrip().startswith("- ") and above.rstrip()[-1] in "]}":
        return "indented below an item that is closed already; write it between its brackets"
    if above.rstrip().endswith(":") or not is_deeper or above.lstrip().startswith("- "):
        return None
    return "indented deeper than the line above, which holds a value already; indent them alike"


def indent_of(line: str) -> int:
    return len(line) - len(line.lstrip(" "))
