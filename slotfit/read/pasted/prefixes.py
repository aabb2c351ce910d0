"""What stands before every line: quote marks, line numbers, times, names of hosts, bars."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

_LOOSE_QUOTE, _TIGHT_QUOTE = re.compile(r"^(?:> ?)+"), re.compile(r"^>+")
# Line numbers are not padded with 0, as buses, domains and offsets are.
_LINE_NUMBER = re.compile(r"\s*(?!0\d)(\d{1,6})(?:\t|:|\|)")
_TIME = r"\d\d:\d\d:\d\d(?:[.,]\d+)?"
_OTHERS = tuple(
    re.compile(pattern)
    for pattern in (
        rf"\[?\d{{4}}-\d\d-\d\d[T ]{_TIME}(?:Z|[+-]\d\d:?\d\d)?\]? ?",
        rf"\[{_TIME}\] ?",
        rf"[A-Z][a-z]{{2}} [ \d]\d {_TIME} \S+ [^\s:]+: ?",
        r"[|\u2502\u2503] ?",
        r"# ?",
        r"`",
    )
)
_HOST = re.compile(r"[A-Za-z][\w.-]{0,63}: ?")
_MOST = 0.8
_LOOKED_AT = 500
_FEWEST = 5

Line = tuple[int, str]


def without_prefixes(numbered: Sequence[Line]) -> Sequence[Line]:
    """The lines without what nearly all of them have in front."""
    numbered = _without_quotes(numbered)
    shown = [line for _, line in numbered if line.strip()][:_LOOKED_AT]
    if len(shown) < _FEWEST:
        return numbered
    prefix = _common(shown)
    return [(no, prefix.sub("", line, count=1)) for no, line in numbered] if prefix else numbered


def _without_quotes(numbered: Sequence[Line]) -> Sequence[Line]:
    """Mail writes `> text`; where any mark has text right behind it, the space is the text's."""
    quoted = [line for _, line in numbered if line.startswith(">")]
    if not quoted:
        return numbered
    tight = any(line.lstrip(">")[:1] not in ("", " ") for line in quoted)
    mark = _TIGHT_QUOTE if tight else _LOOSE_QUOTE
    return [(no, mark.sub("", line)) for no, line in numbered]


def _common(shown: Sequence[str]) -> re.Pattern[str] | None:
    """The pattern at the start of nearly every line; None if there is none."""
    enough = _MOST * len(shown)
    numbers = [int(found.group(1)) for line in shown if (found := _LINE_NUMBER.match(line))]
    rises = all(one < other for one, other in pairwise(numbers))
    if len(numbers) >= enough and rises:
        return re.compile(f"^{_LINE_NUMBER.pattern}")
    for pattern in _OTHERS:
        if sum(1 for line in shown if pattern.match(line)) >= enough:
            return re.compile(f"^{pattern.pattern}")
    first = _HOST.match(shown[0])
    host = first.group() if first else ""
    if host and sum(line.startswith(host.rstrip()) for line in shown) >= enough:
        return re.compile(f"^{re.escape(host.rstrip())} ?")
    return None
