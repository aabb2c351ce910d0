"""A finished answer, kept as data: renderers are tested on it, never on what a solver chooses."""

from __future__ import annotations

import dataclasses
import json
import types
from collections.abc import Mapping
from pathlib import Path
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from slotfit.answers.sequence.answer import SequenceAnswer

GOLDEN = Path(__file__).parent / "golden"

Answer = TypeVar("Answer")


def finished() -> SequenceAnswer:
    """The museum of lighthouses, three windows."""
    return read(SequenceAnswer, json.loads((GOLDEN / "finished.json").read_text("utf-8")))


def read(kind: type[Answer], data: Any) -> Answer:
    """An answer from its own JSON."""
    hints = get_type_hints(kind)
    fields = {field.name for field in dataclasses.fields(kind)}  # type: ignore[arg-type]
    assert fields == set(data), fields ^ set(data)
    return kind(**{name: value_of(hints[name], data[name]) for name in fields})


def value_of(hint: Any, value: Any) -> Any:
    """One field."""
    if get_origin(hint) is tuple:
        inner = get_args(hint)
        if inner[-1] is Ellipsis:
            return tuple(value_of(inner[0], one) for one in value)
        return tuple(value_of(one, part) for one, part in zip(inner, value, strict=True))
    if get_origin(hint) in (Union, types.UnionType):
        known = [one for one in get_args(hint) if one is not type(None)]
        return None if value is None else value_of(known[0], value)
    if get_origin(hint) is Mapping:
        return dict(value)
    is_record = isinstance(hint, type) and dataclasses.is_dataclass(hint)
    return read(hint, value) if is_record else value
