"""Whole numbers for clauses and the solver: milliwatts, megabytes per second."""

from __future__ import annotations

from slotfit.model.part import Power


def milliwatts(power: Power | None) -> int:
    """What a part draws from its receptacle, in mW; 0 where nobody has said."""
    return round((power.slot_w or 0) * 1000) if power else 0


def all_milliwatts(power: Power | None) -> int:
    """What a part draws in all, receptacle and plugs, in mW; 0 where nobody has said."""
    return milliwatts(power) + (round((power.aux_w or 0) * 1000) if power else 0)


def mb_s(gb_s: float) -> int:
    """Gigabytes per second as whole megabytes per second."""
    return round(gb_s * 1000)


UNITS = (
    ("_w", "W"),
    ("_v", "V"),
    ("_mm", "mm"),
    ("_gb_s", "GB/s"),
    ("_lfm", "LFM"),
    ("_kg", "kg"),
    ("_rpm", "turns a minute"),
    ("_c", "C"),
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
