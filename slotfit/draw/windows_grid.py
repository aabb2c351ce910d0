"""The ground of the picture of a sequence: rows, columns, and what is off when."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby, pairwise

from slotfit.answers.sequence.answer import SequenceAnswer, SequencePlan
from slotfit.draw.svg import (
    LINE,
    NAME_MM,
    PAPER,
    ROOM,
    SMALL_MM,
    SOFT,
    WARN,
    Pen,
    fits,
    tag,
    words,
    wrap,
)


@dataclass(frozen=True, slots=True)
class Bar:
    """One part in one row."""

    row: int
    item: str
    riders: int
    """The most parts that sit on it meanwhile."""
    first: int
    """Stretch in which it is there first."""
    last: int
    comes: bool
    """It was put there in a window."""


@dataclass(frozen=True, slots=True)
class Path:
    """One part from row to row in a window."""

    window: int
    from_row: int
    to_row: int


def bars_of(plan: SequencePlan) -> Iterator[Bar]:
    """Every bar, row by row."""
    for row, place in enumerate(plan.places):
        first = 0
        for part, same in groupby(place.cells, lambda cell: cell.item):
            riders = [cell.riders for cell in same]
            if part is not None:
                yield Bar(row, part, max(riders), first, first + len(riders) - 1, first > 0)
            first += len(riders)


def lanes_of(plan: SequencePlan) -> dict[int, int]:
    """Rows beside the machines -> lanes, so that what lies there at other times shares one."""
    lanes: list[set[int]] = []
    found: dict[int, int] = {}
    for row, place in enumerate(plan.places):
        if place.machine:
            continue
        times = {number for number, cell in enumerate(place.cells) if cell.item is not None}
        lane = next((n for n, taken in enumerate(lanes) if not near(times, taken)), len(lanes))
        if lane == len(lanes):
            lanes.append(set())
        lanes[lane] |= times
        found[row] = lane
    return found


def near(times: set[int], taken: set[int]) -> bool:
    """Whether two parts would touch in one lane."""
    return any(one + step in taken for one in times for step in (-1, 0, 1))


def paths_of(plan: SequencePlan) -> Iterator[Path]:
    """Every change of row."""
    rows = [
        {part: row for row, place in enumerate(plan.places) if (part := place.cells[n].item)}
        for n in range(len(plan.stretches))
    ]
    for window, (before, after) in enumerate(pairwise(rows), 1):
        for part, row in after.items():
            if before.get(part, row) != row:
                yield Path(window, before[part], row)


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

    plan: SequencePlan
    rows: dict[int, float]
    """Number of a place -> the upper end of its row."""
    bands: tuple[tuple[str, str, float, float], ...]
    """Machine id, title, upper and lower end of its rows."""
    bottom: float

    @property
    def stretches(self) -> int:
        """Today, and one after each window."""
        return len(self.plan.stretches)

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


def grid_of(answer: SequenceAnswer) -> Grid:
    """Rows machine by machine, parts beside the machines last."""
    rows: dict[int, float] = {}
    lanes = lanes_of(answer.plan)
    bands = []
    y = MARGIN + HEAD
    for machine in dict.fromkeys(place.machine for place in answer.plan.places):
        top = y
        y += ROW
        own = [n for n, place in enumerate(answer.plan.places) if place.machine == machine]
        for number in own:
            lane = lanes.get(number, own.index(number))
            rows[number] = top + ROW * (1 + lane)
            y = max(y, rows[number] + ROW)
        bands.append((machine, title_of(answer, machine), top, y + 3))
        y += 10
    return Grid(answer.plan, rows, tuple(bands), y - 10)


def title_of(answer: SequenceAnswer, machine: str) -> str:
    """The heading of a machine's rows."""
    if not machine:
        return "beside the machines"
    name = answer.machines[machine]
    said = machine if name == machine else f"{machine}: {name}"
    return f"{said} (retired)" if machine in answer.retired else said


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
    for number, place in enumerate(grid.plan.places):
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
            yield words(MARGIN + 4, y + 2.4, place.heading, Pen(tone=SOFT), LABEL - 8)


def draw_windows(grid: Grid, prefix: str) -> Iterator[str]:
    """Each window: an upright band, hatched over the machine that is off."""
    for window in grid.plan.windows:
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
    for window in grid.plan.windows:
        x = grid.start(window.number) - WINDOW / 2
        yield words(
            x, MARGIN + 9, f"window {window.number}", Pen(NAME_MM, WARN, bold=True, anchor="middle")
        )
        what = ", ".join(window.off) + " off" if window.off else "nothing off"
        yield words(x, MARGIN + 18, what, Pen(tone=WARN, anchor="middle"), WINDOW + 18)


def head_lines(grid: Grid, number: int) -> list[str]:
    """What is copied in a stretch, in short."""
    characters = fits(STRETCH, SMALL_MM)
    copies = grid.plan.stretches[number].copies
    lines = [wrap(f"copy {name}", characters, 2) for name in copies]
    return [line for found in lines for line in found][:2]
