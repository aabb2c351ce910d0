"""
From the label of a division to the segments that arrive at a receptacle.

A label such as "x8x4x4" does not say which lanes are the wide ones. Firmware families list the high
lanes first or the low lanes first (EDK2-platforms PurleyRcPkg IioRegs.h: "xxx8x4x4" is x8 on lanes
15:8, high first), and a slot wired in reverse flips them again (AmdPcieComplex.h, Start > End).
"""

from __future__ import annotations

from slotfit.model.board import LabelOrder
from slotfit.model.part import widths

Segments = tuple[int, ...]

EVEN: dict[int, tuple[Segments, ...]] = {
    8: ((4, 4),),
    16: ((8, 8), (4, 4, 4, 4)),
}
"""Wired lanes -> even divisions a root port of this width commonly offers (common practice, no
source); a board may have them or not."""


def label_of(segments: Segments) -> str:
    """
    The label of a division as firmware menus write it.

    >>> label_of((8, 4, 4))
    'x8x4x4'
    """
    return "".join(f"x{lanes}" for lanes in segments)


def named(label: str) -> Segments:
    """The widths a label names, in its order; the model has checked its form."""
    return widths(label) or ()


def lane_orders(
    segments: Segments, order: LabelOrder | None, reversed_: bool | None
) -> tuple[Segments, ...]:
    """
    The segments from the receptacle's lane 0 up: one answer, or both if nobody has said.

    >>> lane_orders((8, 4, 4), "high-first", False), lane_orders((8, 4, 4), "high-first", True)
    (((4, 4, 8),), ((8, 4, 4),))
    >>> lane_orders((8, 4, 4), "low-first", None), lane_orders((4, 4), None, None)
    (((8, 4, 4), (4, 4, 8)), ((4, 4),))
    """
    turned = segments[::-1]
    if turned == segments:
        return (segments,)
    if order is None or reversed_ is None:
        return (segments, turned)
    return (turned,) if (order == "high-first") != reversed_ else (segments,)
