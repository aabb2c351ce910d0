"""
Undo what mail, forums, terminals and other systems do to a pasted text.

Line numbers survive: each line keeps the number it has in the file the user gave.
"""

from __future__ import annotations

import html
import quopri
import re

MAX_CHARACTERS = 32_000_000
_QUOTE = re.compile(r"^(?:> ?)+")
_TERMINAL = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")
_SOFT_BREAK = re.compile(r"=[ \t]*$")
_ESCAPED = re.compile(r"=[0-9A-F]{2}")
_SOFT_BREAKS_THAT_MEAN_MAIL = 3

Line = tuple[int, str]


def decode(data: bytes) -> str:
    """Text of any encoding a shell or an editor leaves behind; what is not readable is replaced."""
    data = data[:MAX_CHARACTERS]
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", "replace")
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
    return data.decode("utf-8", "replace")


def lines_of(text: str) -> list[Line]:
    """
    The lines with their numbers, without quote marks, mail escapes, colours and line-end damage.

    >>> lines_of("> 00:1f.2 SATA controller\\r\\n> \\tKernel driver in use: ahci")
    [(1, '00:1f.2 SATA controller'), (2, '\\tKernel driver in use: ahci')]
    """
    text = text[:MAX_CHARACTERS].replace("\r\n", "\n").replace("\r", "\n").replace("\0", "")
    text = text.replace("\xa0", " ").lstrip("\ufeff")
    if "\x1b" in text:
        text = _TERMINAL.sub("", text)
    if "&lt;" in text or "&gt;" in text:
        text = html.unescape(text)
    numbered = list(enumerate(text.split("\n"), start=1))
    if ">" in text:
        numbered = [(no, _QUOTE.sub("", line)) for no, line in numbered]
    return _without_mail_escapes(numbered) if _is_mail(numbered) else numbered


def _is_mail(numbered: list[Line]) -> bool:
    breaks = sum(1 for _, line in numbered if line.endswith("="))
    return breaks >= _SOFT_BREAKS_THAT_MEAN_MAIL


def _without_mail_escapes(numbered: list[Line]) -> list[Line]:
    """Quoted-printable (RFC 2045 6.7): join lines ended by a bare `=`, then turn `=3D` back."""
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
