"""The unit of a field's figure, from how the field's name ends."""

from __future__ import annotations

UNITS = (
    ("_w", "W"),
    ("_mm", "mm"),
    ("_gb_s", "GB/s"),
    ("_lfm", "linear feet per minute"),
    ("_kg", "kg"),
    ("_percent", "%"),
    ("lanes", "lanes"),
    ("watts", "W"),
    ("drive_lengths", "mm"),
    ("height_u", "rack units"),
)
"""How a field's name ends -> its unit."""


def unit_named(name: str) -> str:
    """
    The unit of a field; empty if its figure has none.

    >>> unit_named("card_length_mm"), unit_named("row_positions")
    ('mm', '')
    """
    return next((unit for ending, unit in UNITS if name.endswith(ending)), "")
