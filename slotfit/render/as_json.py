"""The answer for programs: one JSON object whose shape is the view's, with a schema version."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from typing import Any


def as_json(view: object, **beside: object) -> str:
    """
    Keys are the field names of the view (view.py, check/view.py ...); units are in the names.

    `beside` are further views, each under a key of its own.
    """
    from json import dumps  # noqa: PLC0415 - text needs none

    found = dict(named(view))
    found |= {key: plain(more) for key, more in beside.items()}
    return dumps(found, indent=2, ensure_ascii=False) + "\n"


def plain(value: object) -> object:
    """A value as JSON has it: what has fields becomes an object, any other row a list."""
    if isinstance(value, Mapping):
        return {key: plain(one) for key, one in value.items()}
    if is_dataclass(value) or hasattr(value, "_fields"):
        return dict(named(value))
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    return value


def named(view: Any) -> Iterable[tuple[str, object]]:
    """Each field of a dataclass or a named tuple."""
    names = [one.name for one in fields(view)] if is_dataclass(view) else view._fields
    return ((name, plain(getattr(view, name))) for name in names)
