"""A build of `tests/builds.py` as the text of a build file."""

from __future__ import annotations

from random import Random
from typing import Any

import yaml

from tests.builds import small_build


def drawn_text(number: int, theme: str | None = None) -> str:
    """The build file of this number."""
    problem = small_build(Random(f"second judge {number}"), theme)
    content = {
        "kind": "build",
        "id": problem.id,
        "machines": [
            said(one.entry)
            | {
                key: said(thing)
                for key in ("board", "chassis", "power_supply")
                if (thing := getattr(one, key)) is not None
            }
            for one in problem.machines
        ],
        "parts": [
            said(part.wish) | {"part": said(part.spec)}
            for part in problem.parts
            if part.companion_of is None
        ],
        "together": [said(group) for group in problem.together],
        "apart": [said(group) for group in problem.apart],
        "today": dict(problem.today),
        "preferences": list(problem.preferences),
        "retire": list(problem.retire),
    }
    return yaml.safe_dump(content, sort_keys=False)


def said(thing: Any) -> dict[str, Any]:
    """What is said of a thing: what is None is not said."""
    found: dict[str, Any] = thing.model_dump(mode="json", by_alias=True, exclude_defaults=True)
    return found
