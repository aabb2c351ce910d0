"""What is wrong where a file is not YAML at all, in words that say what to write."""

from __future__ import annotations

import re

import yaml

from slotfit.errors import Mistake
from slotfit.model.span import Span

COLON_IN_TEXT = re.compile(r"^\s*(?:- )?[^\s'\"#{\[][^:]*:\s+[^'\"#{\[\s][^#]*:(?:\s|$)")
"""`key: some text: more`, the value not in quotes."""


def fault_of(error: yaml.YAMLError, text: str, file: str) -> Mistake:
    """The parser's complaint as one mistake, with a hint taken from the line itself."""
    if not isinstance(error, yaml.MarkedYAMLError):
        return Mistake(file, "", f"not YAML: {error}")
    mark = error.problem_mark or error.context_mark
    if mark is None:
        return Mistake(file, "", f"not YAML: {error.problem or error.context}")
    lines = text.splitlines()
    line = lines[mark.line] if mark.line < len(lines) else ""
    where = Span(file, mark.line + 1, mark.column + 1)
    return Mistake(where, "", hint(error, line, mark.line) or f"not YAML: {error.problem}")


def hint(error: yaml.MarkedYAMLError, line: str, number: int) -> str | None:
    """Our own words for the usual slips; None if it is none of them."""
    indent = line[: len(line) - len(line.lstrip())]
    column = error.problem_mark.column if error.problem_mark else 0
    if "\t" in indent or line[column : column + 1] == "\t":
        return "a tab where only spaces may stand; indent with spaces"
    if COLON_IN_TEXT.match(line):
        return "a text with a colon in it; put the text in quotes"
    opened = error.context_mark
    if opened is not None and (opened.line < number or not line.strip()):
        return (
            f"not YAML: {error.problem}, in what begins on line {opened.line + 1}, "
            f"column {opened.column + 1}; is each quote and bracket closed?"
        )
    return None
