"""Elements of a drawing as text; every length is in millimetres of the thing drawn."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.render.drawn_text import cut, markup, plain
from slotfit.render.palette import INK, PAPER, SOFT, Tone

CHARACTER_EM = 0.57
"""Width of a usual character against the size of its font; bold and capitals are wider."""

NAME_MM = 7.4
SMALL_MM = 6.5
"""Sizes that stay readable where the picture is 320 pixels wide."""


def tag(name: str, *inside: str, **attributes: object) -> str:
    """One element; `stroke_width=1` becomes `stroke-width="1"`, `class_` becomes `class`."""
    written = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{value_text(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    body = "".join(inside)
    return f"<{name}{written}>{body}</{name}>" if body else f"<{name}{written}/>"


def value_text(value: object) -> str:
    """Numbers to a hundredth, texts escaped."""
    if isinstance(value, float):
        return f"{value:.2f}".rstrip("0").rstrip(".")
    return markup(str(value))


def fits(width_mm: float, size_mm: float) -> int:
    """How many characters there is room for."""
    return max(int(width_mm / (size_mm * CHARACTER_EM)), 1)


def width_of(text: str, size_mm: float) -> float:
    """About how wide a text is."""
    return len(text) * size_mm * CHARACTER_EM


@dataclass(frozen=True, slots=True)
class Pen:
    """How a text is written."""

    size: float = SMALL_MM
    tone: Tone = INK
    bold: bool = False
    anchor: str | None = None
    halo: Tone | None = None
    """Colour of the ground, so that lines behind the text do not cross it out."""


NAME = Pen(NAME_MM, bold=True)
PLAIN = Pen()
FAINT = Pen(tone=SOFT)


def words(
    x: float,
    y: float,
    text: str,
    pen: Pen = PLAIN,
    room: float | None = None,
    turn: str | None = None,
) -> str:
    """A line of text from (x, y) on, cut to its room; the whole of a cut text is its title."""
    shown = text if room is None else cut(text, fits(room, pen.size * (1.04 if pen.bold else 1)))
    inside = markup(shown)
    if room is not None and shown != plain(text):
        inside += tag("title", markup(text))
    halo = pen.halo.light if pen.halo else None
    return tag(
        "text",
        inside,
        x=x,
        y=y,
        fill=pen.tone.light,
        font_size=pen.size,
        font_weight="bold" if pen.bold else None,
        text_anchor=pen.anchor,
        transform=turn,
        stroke=halo,
        stroke_width=1.6 if halo else None,
        paint_order="stroke" if halo else None,
        stroke_linejoin="round" if halo else None,
    )


def badge(x: float, y: float, letter: str, tone: Tone = INK) -> str:
    """A disc with a letter or two."""
    return tag("circle", cx=x, cy=y, r=4.6, fill=tone.light) + words(
        x, y + 2.3, letter, Pen(6.4, PAPER, bold=True, anchor="middle")
    )
