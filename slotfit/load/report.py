"""Mistakes put in order for the reader, as one error."""

from __future__ import annotations

from collections.abc import Iterable

from slotfit.errors import InputError, Mistake
from slotfit.model.span import Span

MOST_SHOWN = 100
"""Mistakes; whoever has more has one cause for most of them."""


def error_of(mistakes: Iterable[Mistake], first_file: str = "") -> InputError:
    """The error that shows each mistake once: `first_file`, then the others, line by line."""
    once = [*dict.fromkeys(mistakes)]
    files = [*dict.fromkeys([first_file, *(file_of(one) for one in once)])]
    ordered = sorted(once, key=lambda one: (files.index(file_of(one)), *place_of(one)))
    if hidden := len(ordered) - MOST_SHOWN:
        ordered[MOST_SHOWN:] = [Mistake("", "", f"and {hidden} more")] if hidden > 0 else []
    return InputError(ordered)


def file_of(mistake: Mistake) -> str:
    """The file (or argument) a mistake is in."""
    return mistake.where.file if isinstance(mistake.where, Span) else mistake.where


def place_of(mistake: Mistake) -> tuple[int, int]:
    """Line and column; a mistake of the whole file comes first."""
    where = mistake.where
    return (where.line, where.column) if isinstance(where, Span) else (0, 0)
