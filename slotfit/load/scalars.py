"""
Plain scalars: YAML 1.2.2 core schema (section 10.3.2), so that `no`, `on` and `1:30` stay text.

What no field can hold stays text as well: infinities, not-a-number, figures without end.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

LONGEST_FIGURE = 40
"""Characters; beyond it a figure is kept as text and refused where a number is expected."""

WORDS = {
    **dict.fromkeys(("null", "Null", "NULL", "~", "")),
    **dict.fromkeys(("true", "True", "TRUE"), True),
    **dict.fromkeys(("false", "False", "FALSE"), False),
}
INTEGER = re.compile(r"^[-+]?[0-9]+$")
OCTAL = re.compile(r"^0o[0-7]+$")
HEXADECIMAL = re.compile(r"^0x[0-9a-fA-F]+$")
FLOAT = re.compile(r"^[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?$")

CORE: tuple[tuple[re.Pattern[str], Callable[[str], Any]], ...] = (
    (INTEGER, int),
    (OCTAL, lambda text: int(text, 0)),
    (HEXADECIMAL, lambda text: int(text, 0)),
    (FLOAT, float),
)


FIGURES = frozenset("+-.0123456789")
"""How a figure begins."""


def plain_value(text: str) -> Any:
    """
    What an unquoted scalar means.

    >>> [plain_value(text) for text in ("no", "4", "1:30", "2.5", "true", "~", ".inf")]
    ['no', 4, '1:30', 2.5, True, None, '.inf']
    """
    if text in WORDS:
        return WORDS[text]
    if len(text) > LONGEST_FIGURE or text[0] not in FIGURES:
        return text
    for pattern, value in CORE:
        if pattern.match(text):
            found = value(text)
            return text if isinstance(found, float) and math.isinf(found) else found
    return text
