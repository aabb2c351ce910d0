"""A whole SVG: what a screen reader says of it, its styles, its paper and what is drawn on it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from slotfit.render.drawn_text import markup
from slotfit.render.palette import FONT, PAPER, dark_rules
from slotfit.render.svg import tag


@dataclass(frozen=True, slots=True)
class Page:
    """
    What a drawing is called and how large it is, in its own units of half a pixel.

    `says` is the picture in words, for those who cannot see it. `prefix` keeps its ids apart where
    several drawings are in one page. One that `shrinks`, where it stands alone, is never wider than
    the window; in a page the page's own style says so.
    """

    title: str
    says: str
    wide: float
    high: float
    prefix: str = ""
    shrinks: bool = False


def document(page: Page, definitions: Iterable[str], elements: Iterable[str]) -> str:
    """The drawing as text; `definitions` are patterns that the elements refer to."""
    name, says = f"{page.prefix}name", f"{page.prefix}says"
    return tag(
        "svg",
        tag("title", markup(page.title), id=name),
        tag("desc", markup(page.says), id=says),
        tag("style", dark_rules()),
        tag("defs", *definitions),
        tag("rect", x=0, y=0, width=page.wide, height=page.high, fill=PAPER.light),
        *elements,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {page.wide:.2f} {page.high:.2f}",
        width=f"{page.wide * 2:.0f}",
        height=f"{page.high * 2:.0f}",
        role="img",
        aria_labelledby=f"{name} {says}",
        font_family=FONT,
        style="max-width:100%;height:auto" if page.shrinks and not page.prefix else None,
    )
