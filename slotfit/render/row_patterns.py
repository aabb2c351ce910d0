"""Fills of the slot row that can be told apart without colour."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.render.palette import INK, LINE, PAPER, PROCESSORS, WARN
from slotfit.render.svg import tag


def patterns(prefix: str) -> Iterator[str]:
    """Fills that can be told apart without colour."""
    strokes = (
        "M0 0H4",
        "M-1 1L1 -1M0 4L4 0M3 5L5 3",
        "M1 1h1M3 3h1",
        "M0 0H4M0 0V4",
    )
    for number, (line, fill) in enumerate(PROCESSORS):
        yield pattern(f"{prefix}cpu{number}", fill.light, strokes[number], line.light, 1.1)
    yield pattern(f"{prefix}elsewhere", PAPER.light, "M-1 1L1 -1M0 4L4 0M3 5L5 3", INK.light, 0.5)
    yield pattern(f"{prefix}unknown", PAPER.light, "M1 1h1M3 3h1", WARN.light, 1.2)
    yield pattern(f"{prefix}thick", "none", "M0 4L4 0", LINE.light, 0.3)


def pattern(id_: str, ground: str, stroke: str, colour: str, wide: float) -> str:
    """One pattern of four by four millimetres."""
    return tag(
        "pattern",
        tag("rect", width=4, height=4, fill=ground),
        tag("path", d=stroke, stroke=colour, stroke_width=wide, fill="none"),
        id=id_,
        width=4,
        height=4,
        patternUnits="userSpaceOnUse",
    )
