"""Colours of a terminal, marks of web pages and forums, and the escapes of a quoted string."""

from __future__ import annotations

import html
import re

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
