"""
What every thing described in a file has in common: closed fields, and where it was written.

The modules of entities do without `from __future__ import annotations`, and no validator is built
before it is used: starting up is quicker by a third.  What a field means is the text below it;
`slotfit.catalog.field_words` reads those texts from the source, where a schema or a page needs
them.
"""

from typing import NamedTuple

from pydantic import BaseModel, ConfigDict, PrivateAttr


class Span(NamedTuple):
    """A place in a file; line and column count from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


class Entity(BaseModel):
    """A described thing. Its fields mirror the file; `None` means "not said", never zero."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True, defer_build=True)

    _spans: dict[str, Span] = PrivateAttr(default_factory=dict)

    @property
    def marks(self) -> dict[str, Span]:
        """Field -> where it was written; "" is the thing itself."""
        return self._spans

    def span(self, field: str = "") -> Span | None:
        """Where `field` was written, or the thing itself if the field was left out."""
        return self._spans.get(field) or self._spans.get("")
