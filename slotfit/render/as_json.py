"""The answer for programs: one JSON object whose shape is the view's, with a schema version."""

from __future__ import annotations

import dataclasses
import json
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from _typeshed import DataclassInstance


def as_json(view: DataclassInstance, **beside: DataclassInstance) -> str:
    """
    Keys are the field names of the view (view.py, check/view.py ...); units are in the names.

    `beside` are further views, each under a key of its own.
    """
    found = dataclasses.asdict(view)
    found |= {key: dataclasses.asdict(more) for key, more in beside.items()}
    return json.dumps(keyed(found), indent=2, ensure_ascii=False) + "\n"


def keyed(value: Any) -> Any:
    """The same with its named tuples as mappings: JSON would lose their names."""
    if isinstance(value, dict):
        return {key: keyed(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        named: dict[str, Any] | None = value._asdict() if hasattr(value, "_asdict") else None
        return [keyed(inner) for inner in value] if named is None else keyed(named)
    return value
