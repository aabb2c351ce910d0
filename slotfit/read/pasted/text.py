"""
A pasted text as lines, without what was put around and between them.

Line numbers survive: each line keeps the number it has in the file the user gave.
"""

from __future__ import annotations

from functools import lru_cache

from slotfit.read.pasted.mail import without_mail_escapes
from slotfit.read.pasted.markup import without_markup
from slotfit.read.pasted.prefixes import without_prefixes
from slotfit.read.pasted.wraps import unwrapped

MAX_CHARACTERS = 32_000_000
_ZEROS_OF_UTF_16 = 0.4
_NEWLINES = ("\r\n", "\r", "\u2028", "\u2029", "\x85", "\v", "\f")

Line = tuple[int, str]


def decode(data: bytes) -> str:
    """Text of any encoding a shell or an editor leaves behind; what is not readable is replaced."""
    data = data[:MAX_CHARACTERS]
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", "replace")
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
    start = data[:2000]
    if start[1::2].count(0) > _ZEROS_OF_UTF_16 * len(start):
        return data.decode("utf-16-le", "replace")
    return data.decode("utf-8", "replace")


# Several readers look at one text, one after the other.
@lru_cache(maxsize=1)
def lines_of(text: str) -> tuple[Line, ...]:
    """
    The lines with their numbers, without quote marks, mail escapes, colours and line-end damage.

    >>> lines_of("> 00:1f.2 SATA controller\\r\\n> \\tKernel driver in use: ahci")
    ((1, '00:1f.2 SATA controller'), (2, '\\tKernel driver in use: ahci'))
    """
    text = text[:MAX_CHARACTERS]
    for newline in _NEWLINES:
        if newline in text:
            text = text.replace(newline, "\n")
    text = text.replace("\0", "").replace("\xa0", " ").lstrip("\ufeff")
    text = without_markup(text)
    numbered = list(enumerate(text.split("\n"), start=1))
    return tuple(unwrapped(without_mail_escapes(without_prefixes(numbered))))
