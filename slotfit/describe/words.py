"""Texts and ids from dumps, which may hold anything: made fit for YAML files and file names."""

from __future__ import annotations

import re
import unicodedata

LONGEST_TEXT = 120
LONGEST_ID = 40

# Control and format characters, surrogates, private use, unassigned, line and paragraph separators:
# more than YAML 1.2.2 (5.1) forbids, so that no name can turn or hide a line.
_UNSEEN = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))
_NOT_IN_IDS = re.compile(r"[^a-z0-9_.]+")
_NOT_A_NAME = re.compile(
    r"^(?:|default string|to be filled by o\.?e\.?m\.?|not specified|not applicable|none|n/?a|"
    r"unknown|system (?:product name|manufacturer|version)|type1.*|x+|0+|<.*>|[\W_]+)$"
)


def clean(text: object, longest: int = LONGEST_TEXT) -> str:
    """
    One line that any file may hold; what cannot be shown becomes a space.

    >>> clean("  SLOT\\x00 1\\n\\u202e "), clean("a" * 9, longest=5)
    ('SLOT 1', 'aaaa…')
    """
    shown = "".join(" " if unicodedata.category(c) in _UNSEEN else c for c in str(text)[:4000])
    line = " ".join(shown.split())
    return line if len(line) <= longest else line[: longest - 1].rstrip() + "…"


def said(text: str | None) -> str | None:
    """
    The text, cleaned; None if it is one of the fillers that makers leave in their tables.

    >>> said("To Be Filled By O.E.M."), said(" X-100 ")
    (None, 'X-100')
    """
    shown = clean(text or "")
    return None if _NOT_A_NAME.match(shown.lower()) else shown


def slug(text: str, otherwise: str, longest: int = LONGEST_ID) -> str:
    """
    An id after a name; `otherwise` where nothing of the name can be used.

    >>> slug("CPU1 SLOT2 (x8)", "slot"), slug("0000:01:00.0", "slot"), slug("(", "slot")
    ('cpu1-slot2-x8', 'slot-0000-01-00.0', 'slot')
    """
    plain = unicodedata.normalize("NFKD", clean(text)).encode("ascii", "ignore").decode().lower()
    name = _NOT_IN_IDS.sub("-", plain).strip("-._")
    if name and not name[0].isalpha():
        name = f"{otherwise}-{name}"
    return name[:longest].strip("-._") or otherwise


class Ids:
    """Hands out each id once."""

    def __init__(self, taken: tuple[str, ...] = ()) -> None:
        self._taken = set(taken)

    def new(self, wanted: str) -> str:
        """The id wanted, or the next that is free: `slot1`, `slot1-2`, `slot1-3`."""
        name, number = wanted, 1
        while name in self._taken:
            number += 1
            name = f"{wanted}-{number}"
        self._taken.add(name)
        return name

    def numbered(self, stem: str) -> str:
        """`nic-1`, `nic-2`, ..."""
        number = 1
        while f"{stem}-{number}" in self._taken:
            number += 1
        return self.new(f"{stem}-{number}")
