"""The answer for programs: one JSON object whose shape is the view's, with a schema version."""

from __future__ import annotations

import dataclasses
import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from _typeshed import DataclassInstance


def as_json(view: DataclassInstance) -> str:
    """Keys are the field names of the view (view.py, check_view.py); units are in the names."""
    return json.dumps(dataclasses.asdict(view), indent=2, ensure_ascii=False) + "\n"
