"""Order names the way people count: slot2 before slot10."""

from __future__ import annotations

import re

DIGITS = re.compile(r"(\d+)")


def natural(name: str) -> tuple[tuple[int, int, str], ...]:
    """
    A sort key.

    >>> sorted(["slot10", "slot2", "m2_1"], key=natural)
    ['m2_1', 'slot2', 'slot10']
    """
    return tuple(
        (0, int(part), "") if part.isdigit() else (1, 0, part)
        for part in DIGITS.split(name)
        if part
    )


Order = tuple[tuple[tuple[int, int, str], ...], str]


def by_name(name: str) -> Order:
    """A sort key that counts as people do, and lets no two names tie."""
    return natural(name), name
