"""A drawing that is filled from top to bottom."""

from __future__ import annotations

from collections.abc import Iterable

from slotfit.render.svg import FAINT, NAME_MM, SMALL_MM, Pen, fits, words

MARGIN_MM = 6.0


class Sheet:
    """Elements from top to bottom; `y` is where the next one goes."""

    def __init__(self, wide: float, prefix: str) -> None:
        self.wide = wide
        self.prefix = prefix
        self.y = MARGIN_MM
        self.elements: list[str] = []

    def add(self, elements: Iterable[str]) -> None:
        """Draw, without moving on."""
        self.elements += elements

    def heading(self, text: str, size: float = NAME_MM + 1.6) -> None:
        """A bold line."""
        for line in broken(text, fits(self.wide - 2 * MARGIN_MM, size * 1.06)):
            self.y += size
            self.add([words(MARGIN_MM, self.y, line, Pen(size, bold=True))])
        self.y += 4

    def paragraph(self, text: str) -> None:
        """Small print, broken to the width."""
        for line in broken(text, fits(self.wide - 2 * MARGIN_MM, SMALL_MM)):
            self.y += SMALL_MM + 1.6
            self.add([words(MARGIN_MM, self.y, line, FAINT)])
        self.y += 3


def broken(text: str, characters: int) -> list[str]:
    """Lines of whole words; a word longer than a line stands alone."""
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}".strip()
        if len(joined) <= characters or not lines[-1]:
            lines[-1] = joined
        else:
            lines.append(word)
    return lines
