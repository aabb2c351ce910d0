"""What stands before every line: quote marks, line numbers, times, names of hosts, bars."""

from __future__ import annotations

import html
import quopri
import re
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

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


_TERMINAL = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")
# The same after a browser has dropped the escape character.
_TERMINAL_LEFTOVER = re.compile(r"\[\d{1,2}(?:;\d{1,3})*m(?:\[K)?|\[m\[K")
_TAG = re.compile(
    r"</?(?:pre|code|p|div|span|br|li|[uo]l|t[drt]|table|blockquote|b|i|font|body|html|samp)"
    r"(?:\s[^<>]*)?/?>",
    re.IGNORECASE,
)
_BREAK = re.compile(r"<br\s*/?>|</(?:p|div|li|tr)>", re.IGNORECASE)
_FORUM = re.compile(
    r"\[/?(?:code|quote|pre|spoiler|noparse|mono)(?:[= ][^\]\n]*)?\]", re.IGNORECASE
)


def without_markup(text: str) -> str:
    """The text as it stood on the screen."""
    if text.count("\\n") > 10 * text.count("\n") + 10:
        text = _unquoted(text)
    if "\x1b" in text:
        text = _TERMINAL.sub("", text)
    elif "[m[K" in text or "[0m" in text:
        text = _TERMINAL_LEFTOVER.sub("", text)
    if "</" in text or "<br" in text.lower():
        text = _without_tags(text)
    if "&" in text:
        text = html.unescape(text)
    return _FORUM.sub("", text) if "[/" in text else text


def _unquoted(text: str) -> str:
    """A text that stands as one string in JSON or in a program."""
    pairs = (("\\r", ""), ("\\n", "\n"), ("\\t", "\t"), ('\\"', '"'), ("\\/", "/"), ("\\\\", "\\"))
    for written, meant in pairs:
        text = text.replace(written, meant)
    return text


def _without_tags(text: str) -> str:
    """Marks that stand for a line's end become one, unless the lines are there as well."""
    if len(_BREAK.findall(text)) > 2 * text.count("\n"):
        text = _BREAK.sub("\n", text)
    return _TAG.sub("", text)


_LOOSE_QUOTE, _TIGHT_QUOTE = re.compile(r"^(?:> ?)+"), re.compile(r"^>+")
# Line numbers are not padded with 0, as buses, domains and offsets are.
_LINE_NUMBER = re.compile(r"\s*(?!0\d)(\d{1,6})(?:\t|:|\|)")
_TIME = r"\d\d:\d\d:\d\d(?:[.,]\d+)?"
_OTHERS = tuple(
    re.compile(pattern)
    for pattern in (
        rf"\[?\d{{4}}-\d\d-\d\d[T ]{_TIME}(?:Z|[+-]\d\d:?\d\d)?\]? ?",
        rf"\[{_TIME}\] ?",
        rf"[A-Z][a-z]{{2}} [ \d]\d {_TIME} \S+ [^\s:]+: ?",
        r"[|\u2502\u2503] ?",
        r"# ?",
        r"`",
    )
)
_HOST = re.compile(r"[A-Za-z][\w.-]{0,63}: ?")
_MOST = 0.8
_LOOKED_AT = 500
_FEWEST = 5


def without_prefixes(numbered: Sequence[Line]) -> Sequence[Line]:
    """The lines without what nearly all of them have in front."""
    numbered = _without_quotes(numbered)
    shown = [line for _, line in numbered if line.strip()][:_LOOKED_AT]
    if len(shown) < _FEWEST:
        return numbered
    prefix = _common(shown)
    return [(no, prefix.sub("", line, count=1)) for no, line in numbered] if prefix else numbered


def _without_quotes(numbered: Sequence[Line]) -> Sequence[Line]:
    """Mail writes `> text`; where any mark has text right behind it, the space is the text's."""
    quoted = [line for _, line in numbered if line.startswith(">")]
    if not quoted:
        return numbered
    tight = any(line.lstrip(">")[:1] not in ("", " ") for line in quoted)
    mark = _TIGHT_QUOTE if tight else _LOOSE_QUOTE
    return [(no, mark.sub("", line)) for no, line in numbered]


def _common(shown: Sequence[str]) -> re.Pattern[str] | None:
    """The pattern at the start of nearly every line; None if there is none."""
    enough = _MOST * len(shown)
    numbers = [int(found.group(1)) for line in shown if (found := _LINE_NUMBER.match(line))]
    rises = all(one < other for one, other in pairwise(numbers))
    if len(numbers) >= enough and rises:
        return re.compile(f"^{_LINE_NUMBER.pattern}")
    for pattern in _OTHERS:
        if sum(1 for line in shown if pattern.match(line)) >= enough:
            return re.compile(f"^{pattern.pattern}")
    first = _HOST.match(shown[0])
    host = first.group() if first else ""
    if host and sum(line.startswith(host.rstrip()) for line in shown) >= enough:
        return re.compile(f"^{re.escape(host.rstrip())} ?")
    return None


_NARROWEST, _WIDEST = 60, 250
_FEWEST_AT_THE_EDGE = 4
# What a line of its own starts with, even where pasting lost its indentation.
_OWN_LINE = re.compile(
    r"$|\s|[A-Z][\w ()]{0,30}:|Handle 0x|(?:[0-9a-f]+:)?[0-9a-f]{2}:[0-9a-f]{2}\."
)


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


MAX_CHARACTERS = 32_000_000
_ZEROS_OF_UTF_16 = 0.4
_NEWLINES = ("\r\n", "\r", "\u2028", "\u2029", "\x85", "\v", "\f")


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
