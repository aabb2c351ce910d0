"""What the model expects at a place in a file: the entity there, or the words it allows."""

from __future__ import annotations

import types
from collections.abc import Iterator
from functools import cache
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic.fields import FieldInfo

from slotfit.load.yaml_file import Loc
from slotfit.model.entity import Entity


def keys_of(model: type[Entity]) -> tuple[str, ...]:
    """The keys a mapping of this kind may have, as they are written."""
    return tuple(info.alias or name for name, info in model.model_fields.items())


def field_name(model: type[Entity], key: str) -> str:
    """The attribute of what is written `key`: `from_` for `from`."""
    return aliases(model).get(key, key)


@cache
def aliases(model: type[Entity]) -> dict[str, str]:
    """Word in a file -> attribute, where they differ."""
    return {info.alias: name for name, info in model.model_fields.items() if info.alias}


def field_named(model: type[Entity], key: str) -> FieldInfo | None:
    """The field that is written `key`; None if there is none."""
    return model.model_fields.get(field_name(model, key))


def branches(annotation: Any) -> Iterator[Any]:
    """The plain types inside unions and annotations; that a thing may be left out is no type."""
    origin = get_origin(annotation)
    if origin is Annotated:
        yield from branches(get_args(annotation)[0])
    elif origin in (Union, types.UnionType):
        for branch in get_args(annotation):
            yield from branches(branch)
    elif annotation is not type(None):
        yield annotation


def inside(annotation: Any, step: str | int) -> Iterator[Any]:
    """What is expected one step further in."""
    for branch in branches(annotation):
        origin = get_origin(branch)
        if isinstance(branch, type) and issubclass(branch, Entity):
            if info := field_named(branch, str(step)):
                yield info.annotation
        elif origin is tuple and isinstance(step, int):
            yield get_args(branch)[0]
        elif origin is dict and isinstance(step, str):
            yield get_args(branch)[1]


def expected_at(model: type[Entity], loc: Loc) -> list[Any]:
    """The plain types allowed at `loc`; steps that name a union's branch lead nowhere."""
    found: list[Any] = [model]
    for step in loc:
        found = [kind for annotation in found for kind in inside(annotation, step)]
    return [branch for annotation in found for branch in branches(annotation)]


def entity_at(model: type[Entity], loc: Loc) -> type[Entity] | None:
    """The kind of entity that is described at `loc`."""
    for kind in expected_at(model, loc):
        if isinstance(kind, type) and issubclass(kind, Entity):
            return kind
    return None


def words_at(model: type[Entity], loc: Loc) -> tuple[Any, ...]:
    """The closed vocabulary at `loc`, empty if there is none; `[key]` asks for a mapping's keys."""
    if loc and loc[-1] == "[key]":
        kinds = [
            branch
            for kind in expected_at(model, loc[:-2])
            if get_origin(kind) is dict
            for branch in branches(get_args(kind)[0])
        ]
    else:
        kinds = expected_at(model, loc)
    return tuple(word for kind in kinds if get_origin(kind) is Literal for word in get_args(kind))
