"""Text that goes into markup: escaped, freed of what XML forbids, cut to the room there is."""

from __future__ import annotations

import html
import re

FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""XML 1.0 (fifth edition) section 2.2: what is no character of a document."""

TURNS = re.compile("[\u202a-\u202e\u2066-\u2069]")
"""Marks that reverse the reading direction of what follows (UAX 9 section 2)."""


def plain(text: str) -> str:
    """One line without characters that XML forbids or that turn the line around."""
    return " ".join(TURNS.sub("", FORBIDDEN.sub("\ufffd", text)).split())


def markup(text: str) -> str:
    """Ready to stand in an element or in a quoted attribute."""
    return html.escape(plain(text), quote=True)


def cut(text: str, characters: int) -> str:
    """
    No longer than so many characters; the middle goes, since names differ at their ends.

    >>> cut("village-archive-drive-12", 13)
    'villag…ive-12'
    """
    text = plain(text)
    if len(text) <= characters:
        return text
    if characters < 2:
        return "…"[:characters]
    tail = (characters - 1) // 2
    return text[: characters - 1 - tail] + "…" + (text[-tail:] if tail else "")


def wrap(text: str, characters: int, lines: int) -> list[str]:
    """Broken at spaces into at most so many lines; what is left over is cut."""
    words, found = plain(text).split(" "), [""]
    for number, word in enumerate(words):
        joined = f"{found[-1]} {word}".strip()
        if len(joined) <= characters or not found[-1]:
            found[-1] = joined
        elif len(found) < lines:
            found.append(word)
        else:
            found[-1] = " ".join((found[-1], *words[number:]))
            break
    return [cut(line, characters) for line in found]
