"""Lines that a terminal broke at its right edge, wherever that was."""

from __future__ import annotations

import re
from collections.abc import Sequence

_NARROWEST, _WIDEST = 60, 250
_FEWEST_AT_THE_EDGE = 4
_MOST = 0.8
# What a line of its own starts with, even where pasting lost its indentation.
_OWN_LINE = re.compile(
    r"$|\s|[A-Z][\w ()]{0,30}:|Handle 0x|(?:[0-9a-f]+:)?[0-9a-f]{2}:[0-9a-f]{2}\."
)

Line = tuple[int, str]


def unwrapped(lines: Sequence[Line]) -> Sequence[Line]:
    """
    The lines with those that end at the edge joined to what follows; others as they are.

    There is an edge if several lines end at the longest length there is and nearly all of what
    follows them does not look like the start of a line.
    """
    widths = [len(line.expandtabs(8)) if len(line) <= _WIDEST else _WIDEST + 1 for _, line in lines]
    edge = max(widths, default=0)
    if not _NARROWEST <= edge <= _WIDEST:
        return lines
    followers = [
        lines[at + 1][1] for at, width in enumerate(widths[:-1]) if width == edge
    ]  # fmt: skip
    broken = sum(1 for line in followers if not _OWN_LINE.match(line))
    if broken < _FEWEST_AT_THE_EDGE or broken < _MOST * len(followers):
        return lines
    joined: list[Line] = []
    at_edge = False
    for (number, line), width in zip(lines, widths, strict=True):
        if at_edge:
            joined[-1] = (joined[-1][0], joined[-1][1] + line)
        else:
            joined.append((number, line))
        at_edge = width == edge
    return joined
