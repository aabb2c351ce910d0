"""What the marks of the slot row mean."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.render.palette import BODY, CARD, INK, LINE, WARN
from slotfit.render.svg import FAINT, SMALL_MM, badge, tag, width_of, words

SWATCH_MM = 15.0
ROW_MM = 11.0

KEY: tuple[tuple[str, str], ...] = (
    ("used", "lanes in use"),
    ("given", "lanes there, idle"),
    ("elsewhere", "lanes wired but not given here"),
    ("unwired", "contacts without lanes"),
    ("unknown", "lanes nobody has confirmed"),
    ("power", "power contacts, in use"),
    ("below", "card below its ability"),
    ("empty", "empty slot"),
    ("thick", "covered by a thick card"),
    ("letter", "end of a cable"),
)


def swatch(kind: str, prefix: str, x: float, y: float) -> Iterator[str]:
    """A sample of one mark, its top left corner at (x, y)."""
    look: dict[str, object] = {"fill": "none", "stroke": INK.light, "stroke_width": 0.6}
    match kind:
        case "used":
            look["fill"] = INK.light
        case "given":
            look["fill"] = CARD.light
        case "elsewhere" | "unknown" | "thick":
            look["fill"] = f"url(#{prefix}{kind})"
        case "unwired":
            look |= {"fill": BODY.light, "stroke": LINE.light, "stroke_dasharray": "1 1"}
        case "power":
            look |= {"fill": LINE.light, "stroke": LINE.light}
        case "below":
            look |= {"fill": CARD.light, "stroke": WARN.light, "stroke_width": 1.5}
        case "empty":
            look |= {"stroke": LINE.light, "stroke_dasharray": "3 2.5"}
        case _:
            yield badge(x + SWATCH_MM / 2, y + 3.5, "A")
            return
    yield tag("rect", x=x, y=y, width=SWATCH_MM, height=7, **look)


def draw_key(elements: list[str], prefix: str, y: float, wide: float, margin: float) -> float:
    """The marks side by side as far as they go; returns where they end."""
    x, y = margin, y + 2
    for kind, says in KEY:
        room = wide - 2 * margin - SWATCH_MM - 4
        need = SWATCH_MM + 4 + min(width_of(says, SMALL_MM), room) + 8
        if x + need > wide and x > margin:
            x, y = margin, y + ROW_MM
        elements += swatch(kind, prefix, x, y)
        elements.append(words(x + SWATCH_MM + 3, y + 6, says, FAINT, room))
        x += need
    return y + ROW_MM
