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
