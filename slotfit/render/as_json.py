"""The answer for programs: one JSON object whose shape is the view's, with a schema version."""

from __future__ import annotations

import dataclasses
import json

from slotfit.render.view import View


def as_json(view: View) -> str:
    """Keys are the view's field names; units are in the names."""
    return json.dumps(dataclasses.asdict(view), indent=2, ensure_ascii=False) + "\n"
