"""A figure of a class: what is typical, and the worst seen, to which every limit is held."""

from collections.abc import Iterator
from typing import Annotated, Any, Self, TypeVar

from annotated_types import Interval
from pydantic import GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema

from slotfit.model.entity import Entity

Described = TypeVar("Described", bound=Entity)


FIGURE, SPREAD = "figure", "spread"
"""How pydantic tells one figure from two."""


class TypicalAndWorst(Entity):
    """A figure that varies within a class; plans are held to the worst."""

    typical: Annotated[float, Interval(ge=0, le=10_000)]
    """What most of the class have."""
    worst: Annotated[float, Interval(ge=0, le=10_000)]
    """The greatest that was seen."""


class Spread(float):
    """The worst of a class, as the figure that counts, beside what is typical."""

    typical: float

    def __new__(cls, worst: float, typical: float) -> Self:
        made = super().__new__(cls, worst)
        made.typical = typical
        return made

    def __reduce__(self) -> tuple[type[Self], tuple[float, float]]:
        return type(self), (float(self), self.typical)

    @classmethod
    def of(cls, written: TypicalAndWorst) -> Self:
        return cls(written.worst, written.typical)


class MaySpread:
    """Marks a field in which a figure may be written as `{typical: 12, worst: 16}`."""

    def __get_pydantic_core_schema__(
        self, source: type[float], handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        written = handler.generate_schema(TypicalAndWorst)
        return core_schema.tagged_union_schema(
            {
                FIGURE: handler(source),
                SPREAD: core_schema.no_info_after_validator_function(Spread.of, written),
            },
            discriminator=lambda said: SPREAD if isinstance(said, dict) else FIGURE,
            serialization=core_schema.plain_serializer_function_ser_schema(as_written),
        )


def as_written(figure: float) -> Any:
    """The figure as a file has it."""
    if isinstance(figure, Spread):
        return {"typical": figure.typical, "worst": float(figure)}
    return figure


def at_typical(thing: Described, only: str = "") -> Described:
    """The thing with what is typical in the worst's stead; `only`: of that field alone."""
    changed: dict[str, Any] = {}
    for name, value in thing:
        if isinstance(value, Spread) and only in ("", name):
            changed[name] = value.typical
        elif isinstance(value, Entity) and (inner := at_typical(value, only)) is not value:
            changed[name] = inner
    return thing.model_copy(update=changed) if changed else thing


def spreads(thing: Entity) -> Iterator[tuple[Entity, str, Spread]]:
    """Every figure that varies, with the entity and the field that have it."""
    for name, value in thing:
        if isinstance(value, Spread):
            yield thing, name, value
        elif isinstance(value, Entity):
            yield from spreads(value)
