"""Where a fact was written."""

from typing import NamedTuple


class Span(NamedTuple):
    """A place in a file; line and column count from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"
