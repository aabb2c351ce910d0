"""Names in a sentence: counted the way people count, runs shortened."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

# Nobody counts further, and longer numbers cannot be read.
DIGITS = re.compile(r"(\d{1,18})")


def natural(name: str) -> tuple[tuple[int, int, str], ...]:
    """
    A sort key.

    >>> sorted(["slot10", "slot2", "m2_1"], key=natural)
    ['m2_1', 'slot2', 'slot10']
    """
    return tuple(
        (0, int(part), "") if part.isdecimal() else (1, 0, part)
        for part in DIGITS.split(name)
        if part
    )


Order = tuple[tuple[tuple[int, int, str], ...], str]


def by_name(name: str) -> Order:
    """A sort key that counts as people do, and lets no two names tie."""
    return natural(name), name


LAST_NUMBER = re.compile(r"^(.*?)(\d{1,18})$")
LAST_LETTER = re.compile(r"^(.*[^a-z])([a-z])$")


def listed(names: Iterable[str], word: str = "and") -> str:
    """
    Names in natural order; three or more that count up are a run.

    >>> listed(["slot4", "slot3", "slot2", "m2_1"]), listed(["hba", "nic"], "or")
    ('m2_1 and slot2 to slot4', 'hba or nic')
    """
    parts = [piece for run in runs(sorted(set(names), key=natural)) for piece in shortened(run)]
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {word} {parts[-1]}"


def runs(names: Sequence[str]) -> list[list[str]]:
    """Names that count up by one from each to the next, by their last number or letter."""
    found: list[list[str]] = []
    for name in names:
        if found and follows(found[-1][-1], name):
            found[-1].append(name)
        else:
            found.append([name])
    return found


def follows(one: str, other: str) -> bool:
    """
    Whether `other` is the next in a count, by its last number or its last letter.

    >>> follows("slot9", "slot10"), follows("slot9", "slot11"), follows("nic-a", "nic-b")
    (True, False, True)
    """
    here, there = LAST_NUMBER.match(one), LAST_NUMBER.match(other)
    if here and there and here.group(1) == there.group(1):
        return int(there.group(2)) == int(here.group(2)) + 1
    here, there = LAST_LETTER.match(one), LAST_LETTER.match(other)
    if here and there and here.group(1) == there.group(1):
        return ord(there.group(2)) == ord(here.group(2)) + 1
    return False


def shortened(run: Sequence[str]) -> Sequence[str]:
    """`slot2 to slot5` for four names, the names themselves for one or two."""
    return run if len(run) < 3 else [f"{run[0]} to {run[-1]}"]


def in_short(names: Iterable[str]) -> str:
    """
    Names in the order given, runs shortened.

    >>> in_short(["down1", "down2", "down3", "end0"])
    'down1 to down3, end0'
    """
    return ", ".join(piece for run in runs([*names]) for piece in shortened(run))


def have(things: Sequence[object]) -> str:
    """
    What several of them, or the one, are said to do.

    >>> have(["slot1"]), have(["slot1", "slot2"])
    ('has', 'have')
    """
    return "have" if len(things) > 1 else "has"


def counted(number: int, thing: str) -> str:
    """
    A number of things, `thing` being one of them.

    >>> counted(1, "link"), counted(2, "link")
    ('1 link', '2 links')
    """
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
