"""The ground of the picture of a sequence: rows, columns, and what is off when."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slotfit.render.drawn_text import wrap
from slotfit.render.palette import LINE, PAPER, ROOM, SOFT, WARN
from slotfit.render.sequence.bars import lanes_of
from slotfit.render.sequence.view import SequenceView, StretchView
from slotfit.render.svg import NAME_MM, SMALL_MM, Pen, fits, tag, words

MARGIN = 6.0
LABEL = 62.0
STRETCH = 88.0
WINDOW = 40.0
ROW = 15.0
BAR = 11.5
HEAD = 34.0


@dataclass(frozen=True)
class Grid:
    """Where things are drawn."""

    view: SequenceView
    rows: dict[int, float]
    """Number of a place -> the upper end of its row."""
    bands: tuple[tuple[str, str, float, float], ...]
    """Machine id, title, upper and lower end of its rows."""
    bottom: float

    @property
    def stretches(self) -> int:
        """Today, and one after each window."""
        return len(self.view.windows) + 1

    @property
    def right(self) -> float:
        """Right end of the rows."""
        return self.start(self.stretches - 1) + STRETCH

    def start(self, stretch: int) -> float:
        """Left end of a stretch."""
        return MARGIN + LABEL + stretch * (STRETCH + WINDOW)

    def middle(self, place: int) -> float:
        """Height of the middle of a row."""
        return self.rows[place] + ROW / 2


def grid_of(view: SequenceView) -> Grid:
    """Rows machine by machine, parts beside the machines last."""
    names = dict(view.machines)
    rows: dict[int, float] = {}
    lanes = lanes_of(view)
    bands = []
    y = MARGIN + HEAD
    for machine in dict.fromkeys(place.machine for place in view.places):
        top = y
        y += ROW
        own = [n for n, place in enumerate(view.places) if place.machine == machine]
        for number in own:
            lane = lanes.get(number, own.index(number))
            rows[number] = top + ROW * (1 + lane)
            y = max(y, rows[number] + ROW)
        bands.append((machine, title_of(view, machine, names), top, y + 3))
        y += 10
    return Grid(view, rows, tuple(bands), y - 10)


def title_of(view: SequenceView, machine: str, names: dict[str, str]) -> str:
    """The heading of a machine's rows."""
    if not machine:
        return "beside the machines"
    name = names[machine]
    said = machine if name == machine else f"{machine}: {name}"
    return f"{said} (retired)" if machine in view.retired else said


def stretch_of(view: SequenceView, number: int) -> StretchView | None:
    """A stretch by its number."""
    return view.today if not number else view.windows[number - 1].after


def draw_bands(grid: Grid) -> Iterator[str]:
    """The ground of each machine, its title, and the names of its receptacles."""
    for machine, title, top, bottom in grid.bands:
        yield tag(
            "rect",
            x=MARGIN,
            y=top,
            width=grid.right - MARGIN,
            height=bottom - top,
            rx=3,
            fill=(ROOM if machine else PAPER).light,
            stroke=LINE.light,
            stroke_width=0.5,
            stroke_dasharray=None if machine else "3 2",
        )
        yield words(MARGIN + 4, top + 10.5, title, Pen(NAME_MM, bold=True))
    for number, place in enumerate(grid.view.places):
        y = grid.middle(number)
        yield tag(
            "line",
            x1=MARGIN + LABEL,
            x2=grid.right - 3,
            y1=y,
            y2=y,
            stroke=LINE.light,
            stroke_width=0.3,
        )
        if place.machine:
            yield words(MARGIN + 4, y + 2.4, place.label, Pen(tone=SOFT), LABEL - 8)


def draw_windows(grid: Grid, prefix: str) -> Iterator[str]:
    """Each window: an upright band, hatched over the machine that is off."""
    for window in grid.view.windows:
        x = grid.start(window.number) - WINDOW
        for machine, _, top, bottom in grid.bands:
            if machine in window.off:
                yield tag(
                    "rect",
                    x=x,
                    y=top,
                    width=WINDOW,
                    height=bottom - top,
                    fill=f"url(#{prefix}off)",
                    stroke=WARN.light,
                    stroke_width=0.9,
                )
                label = Pen(SMALL_MM, WARN, bold=True, anchor="middle", halo=ROOM)
                yield words(x + WINDOW / 2, top + 10.5, "OFF", label)


def draw_heads(grid: Grid) -> Iterator[str]:
    """What each column is."""
    for stretch in range(grid.stretches):
        x = grid.start(stretch) + STRETCH / 2
        text = "today" if not stretch else "the goal" if stretch == grid.stretches - 1 else "then"
        yield words(x, MARGIN + 9, text, Pen(NAME_MM + 1, bold=True, anchor="middle"))
        for number, line in enumerate(head_lines(grid, stretch)):
            y = MARGIN + 18 + number * 8
            yield words(x, y, line, Pen(tone=SOFT, anchor="middle"), STRETCH)
    for window in grid.view.windows:
        x = grid.start(window.number) - WINDOW / 2
        yield words(x, MARGIN + 9, f"window {window.number}", head_pen())
        what = ", ".join(window.off) + " off" if window.off else "wait"
        yield words(x, MARGIN + 18, what, Pen(tone=WARN, anchor="middle"), WINDOW + 18)


def head_pen() -> Pen:
    """How a window is named."""
    return Pen(NAME_MM, WARN, bold=True, anchor="middle")


def head_lines(grid: Grid, number: int) -> list[str]:
    """What is copied in a stretch, in short."""
    stretch = stretch_of(grid.view, number)
    characters = fits(STRETCH, SMALL_MM)
    lines = [wrap(f"copy {name}", characters, 2) for name in stretch.copies] if stretch else []
    return [line for found in lines for line in found][:2]
