"""The word that enough is done."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass
class Stop:
    """Set when the user has had enough; what is done by then counts."""

    asked: bool = False
