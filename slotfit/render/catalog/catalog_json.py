"""The catalog for programs: lists, descriptions and what lint says, with a schema version."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from slotfit.catalog.entry import Entry
from slotfit.catalog.lint.remark import Report
from slotfit.model.entity import Entity
from slotfit.render.as_json import plain
from slotfit.render.view import SCHEMA_VERSION


def dumped(data: dict[str, Any]) -> str:
    found = plain({"schema_version": SCHEMA_VERSION, **data})
    return json.dumps(found, indent=2, ensure_ascii=False) + "\n"


def list_json(entries: Sequence[Entry]) -> str:
    """What a list has."""
    return dumped({"entries": entries})


def show_json(entity: Entity, where: str) -> str:
    """Everything that is said or follows, by the file's own keys; `where` is the file."""
    described = entity.model_dump(mode="json", by_alias=True, exclude_none=True)
    return dumped({"file": where, "described": described})


def lint_json(reports: Sequence[Report]) -> str:
    """Every remark with its place; what is about a whole file names the file."""
    return dumped({"files": reports})
