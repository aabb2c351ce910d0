"""One of pydantic's errors, as the loader sees it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

Finding = Mapping[str, Any]
"""Its `type`, `loc`, `input` and, for some types, `ctx`."""


def is_miscounted(finding: Finding) -> bool:
    """Pydantic does not count the items that are wrong, and then finds too few."""
    if finding["type"] != "too_short":
        return False
    return len(finding["input"]) >= int(finding["ctx"]["min_length"])
