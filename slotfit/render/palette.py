"""Colours of the drawings, for light and for dark; no meaning hangs on colour alone."""

from __future__ import annotations

from dataclasses import dataclass


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


def processor_tones(number: int) -> tuple[Tone, Tone]:
    """Line and fill of the processor with that number; they repeat after the last."""
    return PROCESSORS[number % len(PROCESSORS)]


def dark_rules() -> str:
    """Style rules that turn a drawing's light colours into dark ones where the reader wants so."""
    swaps = "".join(
        f'[fill="{t.light}"]{{fill:{t.dark}}}[stroke="{t.light}"]{{stroke:{t.dark}}}' for t in EVERY
    )
    return f"@media screen and (prefers-color-scheme:dark){{{swaps}}}"
