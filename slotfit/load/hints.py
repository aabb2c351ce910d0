"""Small turns of phrase that many messages share."""

from __future__ import annotations

from collections.abc import Iterable


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

    by_lower = {one.lower(): one for one in known}
    found = get_close_matches(name.lower(), by_lower, n=1, cutoff=0.6)
    return by_lower[found[0]] if found else None


def close_to(name: str, known: Iterable[str]) -> str:
    """`; did you mean X?`, or nothing."""
    found = closest(name, known)
    return f"; did you mean {found}?" if found else ""


def known_names(name: str, known: Iterable[str], kind: str) -> str:
    """What to write instead of a name that is not known: the likeliest, or all if few."""
    names = list(known)
    if hint := close_to(name, names):
        return hint
    if not names:
        return f"; there is no {kind}"
    if len(names) > 12:  # a longer list is no help in a message
        return ""
    return f"; known: {listed(names, 'and')}"
