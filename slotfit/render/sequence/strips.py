"""Below the rows of the picture: services and mirrors, and how to read it all."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.render.palette import BODY, INK, LINE, PAPER, SOFT, WARN
from slotfit.render.sequence.grid import BAR, LABEL, MARGIN, ROW, STRETCH, WINDOW, Grid, stretch_of
from slotfit.render.sequence.view import SequenceView
from slotfit.render.svg import NAME_MM, SMALL_MM, Pen, tag, words


def strips(grid: Grid) -> tuple[list[str], float]:
    """Below the rows: each service and mirror, whether it runs; then how to read it all."""
    view, y, found = grid.view, grid.bottom + 10, []
    names = [one.name for one in view.today.services] if view.today else []
    mirrors = [one.name for one in view.today.mirrors] if view.today else []
    if names or mirrors:
        found.append(words(MARGIN + 4, y + 6, "services and mirrors", Pen(NAME_MM, bold=True)))
        y += 11
    for name in names:
        found += strip(grid, y, name, [service_word(view, n, name) for n in range(grid.stretches)])
        found += cuts(grid, y, name)
        y += ROW
    for name in mirrors:
        found += strip(grid, y, name, [mirror_word(view, n, name) for n in range(grid.stretches)])
        y += ROW
    key = (
        "Bar: a part, '+ 4' with four parts on it. Thick left end, bold: just come. Hatched: this "
        "machine is off. Dashed: beside the machines. Dotted arrow: copied then."
    )
    for line in split_key(key, int((grid.right - MARGIN) / (SMALL_MM * 0.57))):
        y += SMALL_MM + 2
        found.append(words(MARGIN + 4, y, line, Pen(tone=SOFT)))
    return found, y + MARGIN


def strip(grid: Grid, y: float, name: str, states: list[tuple[str, bool]]) -> Iterator[str]:
    """One line of words, one a stretch; what is not well is boxed and marked."""
    yield words(MARGIN + 4, y + 9, name, Pen(tone=SOFT), LABEL - 8)
    for number, (text, well) in enumerate(states):
        x = grid.start(number)
        yield tag(
            "rect",
            x=x,
            y=y + 1.5,
            width=STRETCH,
            height=BAR,
            rx=1.6,
            fill=(BODY if well else PAPER).light,
            stroke=(LINE if well else WARN).light,
            stroke_width=0.5 if well else 1.1,
            stroke_dasharray=None if well else "2.5 1.8",
        )
        pen = Pen(tone=INK if well else WARN, bold=not well)
        yield words(x + 5, y + 9.6, text, pen, STRETCH - 8)


def cuts(grid: Grid, y: float, name: str) -> Iterator[str]:
    """Between stretches: whether the service is cut off by the window."""
    for window in grid.view.windows:
        x = grid.start(window.number) - WINDOW / 2
        if name in window.down:
            yield words(x, y + 9.6, "cut off", Pen(tone=WARN, anchor="middle", bold=True))
        elif name in window.keep:
            yield tag(
                "line",
                x1=x - WINDOW / 2,
                x2=x + WINDOW / 2,
                y1=y + 7.2,
                y2=y + 7.2,
                stroke=INK.light,
                stroke_width=1.6,
            )


def service_word(view: SequenceView, number: int, name: str) -> tuple[str, bool]:
    """`up on lamp`, `down`."""
    stretch = stretch_of(view, number)
    found = next(one for one in stretch.services if one.name == name) if stretch else None
    if found and found.machines:
        return f"up on {' and '.join(found.machines)}", True
    return ("not yet up", True) if found and found.new else ("DOWN", False)


def mirror_word(view: SequenceView, number: int, name: str) -> tuple[str, bool]:
    """`whole`, `lacks index-2`."""
    stretch = stretch_of(view, number)
    found = next(one for one in stretch.mirrors if one.name == name) if stretch else None
    if found is None or found.released:
        return "needed no longer", True
    return (f"LACKS {', '.join(found.missing)}", False) if found.missing else ("whole", True)


def split_key(text: str, characters: int) -> list[str]:
    """Lines of whole words."""
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}".strip()
        lines[-1:] = [joined] if len(joined) <= characters else [lines[-1], word]
    return lines
