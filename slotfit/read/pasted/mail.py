"""Quoted-printable: what mail makes of long lines and of the equals sign (RFC 2045 6.7)."""

from __future__ import annotations

import quopri
import re
from collections.abc import Sequence

_SOFT_BREAK = re.compile(r"=[ \t]*$")
_ESCAPED = re.compile(r"=[0-9A-F]{2}")
# Mail escapes every equals sign; one that stands for itself shows another kind of text.
_BARE = re.compile(r"=(?![0-9A-F]{2}|[ \t]*$)")
_SOFT_BREAKS_THAT_MEAN_MAIL = 3

Line = tuple[int, str]


def without_mail_escapes(numbered: Sequence[Line]) -> Sequence[Line]:
    """Lines ended by a bare `=` joined, then `=3D` turned back; other texts as they are."""
    breaks = sum(1 for _, line in numbered if line.endswith("="))
    if breaks < _SOFT_BREAKS_THAT_MEAN_MAIL or any(_BARE.search(line) for _, line in numbered):
        return numbered
    joined: list[tuple[int, list[str]]] = []
    open_line = False
    for number, line in numbered:
        soft = _SOFT_BREAK.search(line)
        piece = line[: soft.start()] if soft else line
        if open_line:
            joined[-1][1].append(piece)
        else:
            joined.append((number, [piece]))
        open_line = soft is not None
    return [(number, _unescape("".join(pieces))) for number, pieces in joined]


def _unescape(line: str) -> str:
    if not _ESCAPED.search(line):
        return line
    return quopri.decodestring(line.encode()).decode("utf-8", "replace")
