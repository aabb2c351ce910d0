"""A file of likely futures."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field

from slotfit.choose.futures import Outlook
from slotfit.choose.probes import expected
from slotfit.load.catalog import Catalog
from slotfit.load.whole import read_file, settled
from slotfit.model.entity import Entity
from slotfit.model.part import Part
from slotfit.model.words import Id


class Addition(Entity):
    """Parts that may be added."""

    part: str
    """Catalog id or file path."""
    count: Annotated[int, Field(ge=1, le=64)] = 1


class Likely(Entity):
    """One future."""

    id: Id
    weight: Annotated[float, Field(gt=0)] = 1
    """How likely it is, against the others."""
    parts: Annotated[tuple[Addition, ...], Field(min_length=1)]


class Futures(Entity):
    """Several futures to hold a board against."""

    kind: Literal["futures"] = "futures"
    futures: Annotated[tuple[Likely, ...], Field(min_length=1)]


def load_futures(path: Path, catalog: Catalog) -> tuple[Outlook, ...]:
    """The futures a file lists. Raises InputError."""
    found = settled(read_file(path, Futures))
    return tuple(
        Outlook(
            likely.id,
            likely.weight,
            tuple(
                expected(one.part, catalog.load(one.part, Part, path.parent), one.count)
                for one in likely.parts
            ),
        )
        for likely in found.futures
    )
