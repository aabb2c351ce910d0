"""What is wrong where a file is not YAML at all, in words that say what to write."""

from __future__ import annotations

import re

import yaml

from slotfit.errors import Mistake
from slotfit.model.span import Span

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


def fault_of(error: yaml.YAMLError, text: str, file: str) -> Mistake:
    """The parser's complaint as one mistake, with a hint taken from the lines themselves."""
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    if not isinstance(error, yaml.MarkedYAMLError) or mark is None:
        return Mistake(file, "", f"not YAML: {' '.join(str(error).split())}")
    lines = text.splitlines()
    line = lines[mark.line] if mark.line < len(lines) else ""
    where = Span(file, mark.line + 1, mark.column + 1)
    said = (
        tab(line, mark.column)
        or left_open(error, line, mark.line)
        or deeper(lines[: mark.line], line)
        or next((words for pattern, words in LINE_HINTS if pattern.match(line)), None)
    )
    return Mistake(where, "", said or f"not YAML: {error.problem}")


def tab(line: str, column: int) -> str | None:
    indent = line[: len(line) - len(line.lstrip())]
    return TAB if "\t" in indent or line[column : column + 1] == "\t" else None


def left_open(error: yaml.MarkedYAMLError, line: str, number: int) -> str | None:
    """A quote or bracket that begins on an earlier line and never ends."""
    opened = error.context_mark
    flow = "flow" in (error.context or "") or "quoted" in (error.context or "")
    column = error.problem_mark.column if error.problem_mark else 0
    if opened is None or not flow or (opened.line == number and column < len(line)):
        return None
    return f"what is opened on line {opened.line + 1}, column {opened.column + 1} is never closed"


def deeper(before: list[str], line: str) -> str | None:
    """A line that is indented though nothing above it opens a new level."""
    above = next((one for one in reversed(before) if one.strip() and one.strip()[0] != "#"), "")
    is_deeper = indent_of(line) > indent_of(above)
    if above.rstrip().endswith(":") or not is_deeper or above.lstrip().startswith("- "):
        return None
    return "indented deeper than the line above, which holds a value already; indent them alike"


def indent_of(line: str) -> int:
    return len(line) - len(line.lstrip(" "))
