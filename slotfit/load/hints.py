"""Small turns of phrase that many messages share."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

LONGEST_QUOTE = 40
FEW = 12
"""Names; a longer list is no help in a message."""


def quote(written: Any) -> str:
    """What was written, short enough for a line."""
    if isinstance(written, dict):
        return "a mapping"
    if isinstance(written, list | tuple):
        return "a list"
    if written is None:
        return "nothing"
    if isinstance(written, bool):
        return "true" if written else "false"
    text = str(written)
    short = text if len(text) <= LONGEST_QUOTE else text[: LONGEST_QUOTE - 3] + "..."
    return " ".join(short.split()) or '""'


def listed(names: Iterable[str], last: str = "or") -> str:
    """
    Names as a sentence lists them.

    >>> listed(["a", "b", "c"]), listed(["a"])
    ('a, b or c', 'a')
    """
    *before, final = [*names] or ["none"]
    return f"{', '.join(before)} {last} {final}" if before else final


def closest(name: str, known: Iterable[str]) -> str | None:
    """The known name that `name` most likely stands for."""
    from difflib import get_close_matches  # noqa: PLC0415  only needed once something is wrong

    by_lower = {one.lower(): one for one in sorted(known)}
    found = get_close_matches(name.lower(), by_lower, n=1, cutoff=0.6)
    return by_lower[found[0]] if found else None


def shape(name: str) -> str:
    """A name without its figures: slot9 is no slip of the pen for slot2."""
    return re.sub(r"\d", "#", name)


def close_to(name: str, known: Iterable[str]) -> str:
    """`; did you mean X?`, or nothing."""
    found = closest(name, known)
    return f"; did you mean {found}?" if found else ""


def close_or_search(name: str, known: Iterable[str]) -> str:
    """What a catalog id may stand for; else how to list what is like it, or all there is."""
    names = sorted(known)
    likely = close_to(name, names)
    if likely:
        return likely
    if name and any(name.lower() in one for one in names):
        return f"; `slotfit catalog search {quote(name)}` lists what is like it"
    return "; `slotfit catalog list` has every id"


def known_names(name: str, known: Iterable[str]) -> str:
    """What to write instead of a name that is not known: the likeliest, or all if few."""
    names = sorted(known)
    likely = closest(name, names)
    is_slip = likely is not None and shape(likely.lower()) != shape(name.lower())
    if names and not is_slip and len(names) <= FEW:
        return f"; known: {listed(names, 'and')}"
    return f"; did you mean {likely}?" if likely else ""
