"""Elements of a drawing as text; every length is in millimetres of the thing drawn."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable
from dataclasses import dataclass

FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""XML 1.0 (fifth edition) section 2.2: what is no character of a document."""

TURNS = re.compile("[\u202a-\u202e\u2066-\u2069]")
"""Marks that reverse the reading direction of what follows (UAX 9 section 2)."""


def plain(text: str) -> str:
    """One line without characters that XML forbids or that turn the line around."""
    return " ".join(TURNS.sub("", FORBIDDEN.sub("\ufffd", text)).split())


def markup(text: str) -> str:
    """Ready to stand in an element or in a quoted attribute."""
    return html.escape(plain(text), quote=True)


def cut(text: str, characters: int) -> str:
    """
    No longer than so many characters; the middle goes, since names differ at their ends.

    >>> cut("village-archive-drive-12", 13)
    'villag…ive-12'
    """
    text = plain(text)
    if len(text) <= characters:
        return text
    if characters < 2:
        return "…"[:characters]
    tail = (characters - 1) // 2
    return text[: characters - 1 - tail] + "…" + (text[-tail:] if tail else "")


def lines_of(text: str, characters: int) -> list[str]:
    """Lines of whole words; a word longer than a line stands alone."""
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}".strip()
        if len(joined) <= characters or not lines[-1]:
            lines[-1] = joined
        else:
            lines.append(word)
    return lines


def wrap(text: str, characters: int, lines: int) -> list[str]:
    """Broken at spaces into at most so many lines; what is left over is cut."""
    found = lines_of(plain(text), characters)
    found[lines - 1 :] = [" ".join(found[lines - 1 :])] if found[lines - 1 :] else []
    return [cut(line, characters) for line in found]


@dataclass(frozen=True, slots=True)
class Tone:
    """One colour on light and on dark paper."""

    light: str
    dark: str


PAPER = Tone("#fcfbf7", "#12171c")
INK = Tone("#1b2530", "#e9eef2")
SOFT = Tone("#56636f", "#a9b6c2")
LINE = Tone("#8b97a2", "#6d7a86")
ROOM = Tone("#f1efe7", "#1b222a")
BODY = Tone("#dfe5ea", "#2c3742")
CARD = Tone("#ffffff", "#202830")
WARN = Tone("#8f3a00", "#ffb27a")
WARN_FILL = Tone("#ffeedd", "#42260f")

PROCESSORS: tuple[tuple[Tone, Tone], ...] = (
    (Tone("#0a5f6e", "#6fd0e0"), Tone("#d3ecf0", "#0f3a43")),
    (Tone("#7a3f86", "#d9a3e6"), Tone("#efdff3", "#3d2344")),
    (Tone("#4c6212", "#b9d26a"), Tone("#e6edce", "#2c380d")),
    (Tone("#8a4b08", "#f0b878"), Tone("#f8e5cf", "#45290a")),
)
"""Line and fill of each processor in turn; each also has a pattern and its name beside it."""

EVERY: tuple[Tone, ...] = (
    *(PAPER, INK, SOFT, LINE, ROOM, BODY, CARD, WARN, WARN_FILL),
    *(tone for pair in PROCESSORS for tone in pair),
)

FONT = "Helvetica, Arial, 'Liberation Sans', sans-serif"


def processor_tones(number: int | None) -> tuple[Tone, Tone]:
    """Line and fill of the processor with that number; they repeat after the last."""
    return (LINE, CARD) if number is None else PROCESSORS[number % len(PROCESSORS)]


def dark_rules() -> str:
    """Style rules that turn a drawing's light colours into dark ones where the reader wants so."""
    swaps = "".join(
        f'[fill="{t.light}"]{{fill:{t.dark}}}[stroke="{t.light}"]{{stroke:{t.dark}}}' for t in EVERY
    )
    return f"@media screen and (prefers-color-scheme:dark){{{swaps}}}"


CHARACTER_EM = 0.61
"""
Width of a usual character against the size of its font, in the widest of the usual plain fonts:
what is reckoned so stays in its room with any of them.
"""

BOLD = 1.14
"""How much wider bold letters are."""

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


def rect(x: float, y: float, wide: float, high: float, **look: object) -> str:
    """A rectangle with its top left corner at (x, y)."""
    return tag("rect", x=x, y=y, width=wide, height=high, **look)


def value_text(value: object) -> str:
    """Numbers to a hundredth, tones as on light paper, texts escaped."""
    if isinstance(value, Tone):
        return value.light
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
    shown = text if room is None else cut(text, fits(room, pen.size * (BOLD if pen.bold else 1)))
    inside = markup(shown)
    if room is not None and shown != plain(text):
        inside += tag("title", markup(text))
    look: dict[str, object] = {"fill": pen.tone, "font_size": pen.size}
    look |= {"font_weight": "bold" if pen.bold else None, "text_anchor": pen.anchor}
    halo: dict[str, object] = {"stroke": pen.halo, "stroke_width": 1.6, "paint_order": "stroke"}
    halo = halo | {"stroke_linejoin": "round"} if pen.halo else {}
    return tag("text", inside, x=x, y=y, **look, transform=turn, **halo)


def badge(x: float, y: float, letter: str, tone: Tone = INK) -> str:
    """A disc with a letter or two."""
    disc = tag("circle", cx=x, cy=y, r=4.6, fill=tone)
    return disc + words(x, y + 2.3, letter, Pen(6.4, PAPER, bold=True, anchor="middle"))


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
        rect(0, 0, page.wide, page.high, fill=PAPER),
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
