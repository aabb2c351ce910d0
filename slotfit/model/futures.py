"""A file of likely futures: what may be added some day."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from annotated_types import Interval, Len

from slotfit.model.entity import Entity
from slotfit.model.words import Id


class Addition(Entity):
    """Parts that may be added."""

    part: Any
    """Catalog id, file path, or the part written out here."""
    count: Annotated[int, Interval(ge=1, le=64)] = 1
    """So many of it."""


class LikelyFuture(Entity):
    """One future."""

    id: Id
    """Its name in the answer."""
    weight: Annotated[float, Interval(gt=0, le=1000)] = 1
    """How likely it is, against the others."""
    parts: Annotated[tuple[Addition, ...], Len(1, 64)]
    """What is added in it, all together."""


class Futures(Entity):
    """Several futures to hold a board against."""

    kind: Literal["futures"] = "futures"
    """What this file describes."""
    futures: Annotated[tuple[LikelyFuture, ...], Len(1, 100)]
    """The futures, in any order."""
