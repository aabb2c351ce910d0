"""
The picture of a sequence: windows from left to right, receptacles as rows, parts as bars.

Between two windows is a stretch in which the machines run. A bar goes on for as long as its part
stays. In a window the machine that is off is hatched, and a line leads each part from where it was
to where it comes. Units are those of svg.py.
"""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap

from slotfit.answers.sequence.answer import PowerDown, SequenceAnswer, StretchState
from slotfit.draw.svg import (
    BODY,
    CARD,
    INK,
    LINE,
    NAME_MM,
    PAPER,
    SMALL_MM,
    SOFT,
    WARN,
    Page,
    Pen,
    document,
    tag,
    words,
)
from slotfit.draw.windows_grid import (
    BAR,
    LABEL,
    MARGIN,
    ROW,
    STRETCH,
    WINDOW,
    Bar,
    Grid,
    bars_of,
    draw_bands,
    draw_heads,
    draw_windows,
    grid_of,
    paths_of,
)
from slotfit.errors import InputError, Mistake

KEY = (
    "Bar: a part, '+ 4' with four parts on it. Thick left end, bold: just come. Hatched: this "
    "machine is off. Dashed: beside the machines. Dotted arrow: copied then."
)
"""How to read the picture."""


def strips(grid: Grid) -> tuple[list[str], float]:
    """Below the rows: each service and mirror, whether it runs; then how to read it all."""
    y, found, stretches = grid.bottom + 10, [], grid.plan.stretches
    names = [one.name for one in stretches[0].services]
    mirrors = [one.name for one in stretches[0].mirrors]
    if names or mirrors:
        found.append(words(MARGIN + 4, y + 6, "services and mirrors", Pen(NAME_MM, bold=True)))
        y += 11
    for name in names:
        found += strip(grid, y, name, [service_word(one, name) for one in stretches])
        found += cuts(grid, y, name)
        y += ROW
    for name in mirrors:
        found += strip(grid, y, name, [mirror_word(one, name) for one in stretches])
        y += ROW
    for line in wrap(KEY, int((grid.right - MARGIN) / (SMALL_MM * 0.57)), break_on_hyphens=False):
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
    for window in grid.plan.windows:
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


def service_word(stretch: StretchState, name: str) -> tuple[str, bool]:
    """`up on lamp`, `down`; and whether that is well."""
    found = next(one for one in stretch.services if one.name == name)
    if found.state == "up":
        return f"up on {' and '.join(found.machines)}", True
    return ("DOWN", False) if found.state == "down" else ("not yet up", True)


def mirror_word(stretch: StretchState, name: str) -> tuple[str, bool]:
    """`whole`, `lacks index-2`; and whether that is well."""
    found = next(one for one in stretch.mirrors if one.name == name)
    if found.lacks:
        return f"LACKS {', '.join(found.missing)}", False
    return "needed no longer" if found.released else "whole", True


def windows_svg(answer: SequenceAnswer, prefix: str = "") -> str:
    """
    The whole drawing. `prefix` keeps its ids apart where several are in one page.

    Raises InputError where there are no windows to draw.
    """
    if not answer.plan.stretches:
        raise InputError(
            [Mistake(answer.build, "", f"no windows to draw: {answer.verdict.headline}")]
        )
    grid = grid_of(answer)
    below, high = strips(grid)
    page = Page(
        f"Windows: {answer.title}",
        described(answer),
        grid.right + MARGIN,
        high,
        prefix,
        shrinks=True,
    )
    elements = (
        *draw_bands(grid),
        *draw_windows(grid, prefix),
        *draw_heads(grid),
        *draw_paths(grid),
        *draw_bars(grid),
        *draw_copies(grid),
        *below,
    )
    return document(page, [hatch(prefix)], elements)


def draw_paths(grid: Grid) -> Iterator[str]:
    """A line from the end of a part's bar to where it comes next."""
    for path in paths_of(grid.plan):
        left, right = grid.start(path.window) - WINDOW, grid.start(path.window)
        y1, y2 = grid.middle(path.from_row), grid.middle(path.to_row)
        bend = WINDOW * 0.55
        yield tag(
            "path",
            d=f"M{left:.2f} {y1:.2f}C{left + bend:.2f} {y1:.2f} {right - bend:.2f} {y2:.2f} "
            f"{right - 4:.2f} {y2:.2f}",
            fill="none",
            stroke=INK.light,
            stroke_width=1.1,
        )
        yield tag(
            "path",
            d=f"M{right - 5:.2f} {y2 - 2.6:.2f}L{right - 0.4:.2f} {y2:.2f}"
            f"L{right - 5:.2f} {y2 + 2.6:.2f}Z",
            fill=INK.light,
        )


def draw_bars(grid: Grid) -> Iterator[str]:
    """Each part for as long as it stays in one place."""
    for bar in bars_of(grid.plan):
        yield from draw_bar(grid, bar)


def draw_bar(grid: Grid, bar: Bar) -> Iterator[str]:
    """One bar with its name; a thick left end where the part has just come."""
    left, right = grid.start(bar.first), grid.start(bar.last) + STRETCH
    y = grid.rows[bar.row] + (ROW - BAR) / 2
    place = grid.plan.places[bar.row]
    yield tag(
        "rect",
        x=left,
        y=y,
        width=right - left,
        height=BAR,
        rx=1.6,
        fill=(BODY if place.machine else CARD).light,
        stroke=INK.light if place.machine else LINE.light,
        stroke_width=0.7,
        stroke_dasharray=None if place.machine else "2.5 1.8",
    )
    if bar.comes:
        yield tag("rect", x=left, y=y, width=2.6, height=BAR, rx=0.8, fill=INK.light)
    more = f" + {bar.riders}" if bar.riders else ""
    yield words(left + 5, y + 8.2, bar.item + more, Pen(bold=bar.comes), right - left - 8)


def draw_copies(grid: Grid) -> Iterator[str]:
    """A dotted arrow from bar to bar in the stretch in which a copy is made."""
    row_of = {
        place.receptacle: row for row, place in enumerate(grid.plan.places) if place.receptacle
    }
    for number, copy in enumerate(grid.plan.copies):
        if copy.from_site not in row_of or copy.to_site not in row_of:
            continue
        x = grid.start(copy.stretch) + STRETCH - 14 - 7 * number
        start, end = (grid.middle(row_of[one]) for one in (copy.from_site, copy.to_site))
        down = 1 if end > start else -1
        first, last = start + down * BAR / 2, end - down * BAR / 2
        yield tag(
            "line",
            x1=x,
            x2=x,
            y1=first,
            y2=last - down * 4,
            stroke=WARN.light,
            stroke_width=1.6,
            stroke_dasharray="1.6 1.6",
        )
        tip = f"L{x - 3:.2f} {last - down * 5:.2f}L{x + 3:.2f} {last - down * 5:.2f}Z"
        yield tag("path", d=f"M{x:.2f} {last:.2f}{tip}", fill=WARN.light)
        pen = Pen(tone=WARN, bold=True, anchor="end", halo=BODY)
        yield words(x - 3, (first + last) / 2 + 2.4, "copy", pen)


def hatch(prefix: str) -> str:
    """What is off, told without colour."""
    return tag(
        "pattern",
        tag("path", d="M-1 1L1 -1M0 6L6 0M5 7L7 5", stroke=WARN.light, stroke_width=0.8),
        id=f"{prefix}off",
        width=6,
        height=6,
        patternUnits="userSpaceOnUse",
    )


def described(answer: SequenceAnswer) -> str:
    """The picture in words, for those who cannot see it."""
    return " ".join(
        [
            f"{answer.verdict.headline}.",
            *(window_words(answer, window) for window in answer.plan.windows),
        ]
    )


def window_words(answer: SequenceAnswer, window: PowerDown) -> str:
    """One window in a sentence."""
    moves = [
        f"{move.item} from {move.from_label} to {move.to_label}"
        for work in answer.do.work
        if work.window == window.number
        for move in (*work.out, *work.moved, *work.in_)
    ]
    off = f"{' and '.join(window.off)} off" if window.off else "nothing off"
    return f"Window {window.number}, {off}: {'; '.join(moves) or 'nothing moves'}."
