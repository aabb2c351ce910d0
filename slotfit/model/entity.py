"""What every thing described in a file has in common: closed fields, and where it was written."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, PrivateAttr

from slotfit.model.span import Span


class Entity(BaseModel):
    """A described thing. Its fields mirror the file; `None` means "not said", never zero."""

    model_config = ConfigDict(
        extra="forbid", frozen=True, populate_by_name=True, use_attribute_docstrings=True
    )

    _spans: dict[str, Span] = PrivateAttr(default_factory=dict)

    def mark(self, field: str, span: Span) -> None:
        """Remember where `field` was written ("" is the thing itself)."""
        self._spans[field] = span

    def span(self, field: str = "") -> Span | None:
        """Where `field` was written, or the thing itself if the field was left out."""
        return self._spans.get(field) or self._spans.get("")
