"""
The picture of a sequence: windows from left to right, receptacles as rows, parts as bars.

Between two windows is a stretch in which the machines run. A bar goes on for as long as its part
stays. In a window the machine that is off is hatched, and a line leads each part from where it was
to where it comes. Units are those of svg.py.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from slotfit.answers.sequence.answer import SequenceView, StretchView
from slotfit.draw import svg
from slotfit.draw.svg import Pen, rect, tag, words

MARGIN = 6.0
LABEL = 62.0
STRETCH = 88.0
WINDOW = 40.0
ROW = 15.0
BAR = 11.5
HEAD = 34.0
MIDDLE = Pen(tone=svg.WARN, anchor="middle", bold=True)

States = list[tuple[str, bool]]
"""Stretch by stretch a word, and whether all is well."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One part in one row, for as long as it stays."""

    row: int
    item: str
    riders: int
    """The most parts that sit on it meanwhile."""
    first: int
    """Stretch in which it is there first."""
    last: int


@dataclass(frozen=True)
class Grid:
    """Where things are drawn."""

    view: SequenceView
    rows: Mapping[int, float]
    """Number of a place -> the upper end of its row."""
    bands: tuple[tuple[str, str, float, float], ...]
    """Machine id, title, upper and lower end of its rows."""

    @property
    def stretches(self) -> int:
        """Today, and one after each window."""
        return len(self.view.windows) + 1

    @property
    def bottom(self) -> float:
        """Lower end of the rows."""
        return self.bands[-1][3] - 3 if self.bands else MARGIN + HEAD - 10

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


def windows_svg(view: SequenceView, prefix: str = "") -> str:
    """The whole drawing. `prefix` keeps its ids apart where several are in one page."""
    grid = grid_of(view)
    below, high = strips(grid)
    told = [f"{view.headline}."]  # the picture in words, for those who cannot see it
    for window in view.windows:
        moves = [
            f"{move.item} from {move.from_label} to {move.to_label}"
            for work in window.work
            for move in (*work.out, *work.moved, *work.in_)
        ]
        off = f"{' and '.join(window.off)} off" if window.off else "nothing off"
        told.append(f"Window {window.number}, {off}: {'; '.join(moves) or 'nothing moves'}.")
    title, right = f"Windows: {view.title}", grid.right + MARGIN
    page = svg.Page(title, " ".join(told), right, high, prefix, shrinks=True)
    stroke = tag("path", d="M-1 1L1 -1M0 6L6 0M5 7L7 5", stroke=svg.WARN, stroke_width=0.8)
    size = {"width": 6, "height": 6, "patternUnits": "userSpaceOnUse"}
    off_pattern = tag("pattern", stroke, id=f"{prefix}off", **size)  # told without colour
    elements = (
        *draw_bands(grid),
        *draw_windows(grid, prefix),
        *draw_heads(grid),
        *draw_paths(grid),
        *draw_bars(grid),
        *draw_copies(grid),
        *below,
    )
    return svg.document(page, [off_pattern], elements)


# --- the ground -----------------------------------------------------------------------------------


def grid_of(view: SequenceView) -> Grid:
    """Rows machine by machine; parts beside the machines last."""
    names, lanes = dict(view.machines), lanes_of(view)
    rows: dict[int, float] = {}
    bands = []
    y = MARGIN + HEAD
    for machine in dict.fromkeys(place.machine for place in view.places):
        top = y
        y += ROW
        own = [number for number, place in enumerate(view.places) if place.machine == machine]
        for number in own:
            rows[number] = top + ROW * (1 + lanes.get(number, own.index(number)))
            y = max(y, rows[number] + ROW)
        title = "beside the machines"
        if machine:
            title = machine if names[machine] == machine else f"{machine}: {names[machine]}"
            title += " (retired)" if machine in view.retired else ""
        bands.append((machine, title, top, y + 3))
        y += 10
    return Grid(view, rows, tuple(bands))


def lanes_of(view: SequenceView) -> dict[int, int]:
    """Rows beside the machines -> lanes, so that what lies there at other times shares one."""
    lanes: list[set[int]] = []
    found: dict[int, int] = {}
    for row, place in enumerate(view.places):
        if not place.machine:
            times = {number for number, cell in enumerate(place.cells) if cell.item is not None}
            near = {time + step for time in times for step in (-1, 0, 1)}
            found[row] = next((n for n, taken in enumerate(lanes) if not near & taken), len(lanes))
            if found[row] == len(lanes):
                lanes.append(set())
            lanes[found[row]] |= times
    return found


def stretch_of(view: SequenceView, number: int) -> StretchView | None:
    """A stretch by its number."""
    return view.today if not number else view.windows[number - 1].after


def draw_bands(grid: Grid) -> Iterator[str]:
    """The ground of each machine, its title, and the names of its receptacles."""
    for machine, title, top, bottom in grid.bands:
        look = {"rx": 3, "fill": svg.ROOM if machine else svg.PAPER, "stroke": svg.LINE}
        dashes = None if machine else "3 2"
        wide = grid.right - MARGIN
        yield rect(
            MARGIN, top, wide, bottom - top, **look, stroke_width=0.5, stroke_dasharray=dashes
        )
        yield words(MARGIN + 4, top + 10.5, title, svg.NAME)
    for number, place in enumerate(grid.view.places):
        y = grid.middle(number)
        ends = {"x1": MARGIN + LABEL, "x2": grid.right - 3, "y1": y, "y2": y}
        yield tag("line", **ends, stroke=svg.LINE, stroke_width=0.3)
        if place.machine:
            yield words(MARGIN + 4, y + 2.4, place.label, svg.FAINT, LABEL - 8)


def draw_windows(grid: Grid, prefix: str) -> Iterator[str]:
    """Each window: an upright band, hatched over the machine that is off."""
    label = Pen(svg.SMALL_MM, svg.WARN, bold=True, anchor="middle", halo=svg.ROOM)
    look = {"fill": f"url(#{prefix}off)", "stroke": svg.WARN, "stroke_width": 0.9}
    for window in grid.view.windows:
        x = grid.start(window.number) - WINDOW
        for machine, _, top, bottom in grid.bands:
            if machine in window.off:
                yield rect(x, top, WINDOW, bottom - top, **look)
                yield words(x + WINDOW / 2, top + 10.5, "OFF", label)


def draw_heads(grid: Grid) -> Iterator[str]:
    """What each column is, and in short what is copied in it."""
    for number in range(grid.stretches):
        x = grid.start(number) + STRETCH / 2
        text = "today" if not number else "the goal" if number == grid.stretches - 1 else "then"
        yield words(x, MARGIN + 9, text, Pen(svg.NAME_MM + 1, bold=True, anchor="middle"))
        stretch, characters = stretch_of(grid.view, number), svg.fits(STRETCH, svg.SMALL_MM)
        copies = stretch.copies if stretch else ()
        lines = [line for one in copies for line in svg.wrap(f"copy {one}", characters, 2)]
        for place, line in enumerate(lines[:2]):
            pen = Pen(tone=svg.SOFT, anchor="middle")
            yield words(x, MARGIN + 18 + place * 8, line, pen, STRETCH)
    for window in grid.view.windows:
        x = grid.start(window.number) - WINDOW / 2
        pen = Pen(svg.NAME_MM, svg.WARN, bold=True, anchor="middle")
        yield words(x, MARGIN + 9, f"window {window.number}", pen)
        what = ", ".join(window.off) + " off" if window.off else "wait"
        pen = Pen(tone=svg.WARN, anchor="middle")
        yield words(x, MARGIN + 18, what, pen, WINDOW + 18)


# --- parts ----------------------------------------------------------------------------------------


def draw_paths(grid: Grid) -> Iterator[str]:
    """A line from the end of a part's bar to where it comes next."""
    rows = [
        {item: row for row, place in enumerate(grid.view.places) if (item := place.cells[n].item)}
        for n in range(grid.stretches)
    ]
    for window in range(1, grid.stretches):
        left, right, bend = grid.start(window) - WINDOW, grid.start(window), WINDOW * 0.55
        for item, row in rows[window].items():
            before = rows[window - 1].get(item, row)
            if before == row:
                continue
            y1, y2 = grid.middle(before), grid.middle(row)
            curve = (
                f"M{left:.2f} {y1:.2f}C{left + bend:.2f} {y1:.2f} {right - bend:.2f} {y2:.2f} "
                f"{right - 4:.2f} {y2:.2f}"
            )
            tip = (
                f"M{right - 5:.2f} {y2 - 2.6:.2f}L{right - 0.4:.2f} {y2:.2f}"
                f"L{right - 5:.2f} {y2 + 2.6:.2f}Z"
            )
            yield tag("path", d=curve, fill="none", stroke=svg.INK, stroke_width=1.1)
            yield tag("path", d=tip, fill=svg.INK)


def bars_of(view: SequenceView) -> Iterator[Bar]:
    """Every bar, row by row."""
    for row, place in enumerate(view.places):
        first = 0
        for number, cell in enumerate(place.cells):
            if number + 1 < len(place.cells) and place.cells[number + 1].item == cell.item:
                continue
            if cell.item is not None:
                riders = max(one.riders for one in place.cells[first : number + 1])
                yield Bar(row, cell.item, riders, first, number)
            first = number + 1


def draw_bars(grid: Grid) -> Iterator[str]:
    """Each part with its name; a thick left end where it has just come."""
    for bar in bars_of(grid.view):
        left, right = grid.start(bar.first), grid.start(bar.last) + STRETCH
        y, on_board = grid.rows[bar.row] + (ROW - BAR) / 2, grid.view.places[bar.row].machine
        fill, stroke = (svg.BODY, svg.INK) if on_board else (svg.CARD, svg.LINE)
        look = {"rx": 1.6, "fill": fill, "stroke": stroke, "stroke_width": 0.7}
        dashes = None if on_board else "2.5 1.8"
        yield rect(left, y, right - left, BAR, **look, stroke_dasharray=dashes)
        if bar.first:
            yield rect(left, y, 2.6, BAR, rx=0.8, fill=svg.INK)
        name = bar.item + (f" + {bar.riders}" if bar.riders else "")
        yield words(left + 5, y + 8.2, name, Pen(bold=bar.first > 0), right - left - 8)


def draw_copies(grid: Grid) -> Iterator[str]:
    """A dotted arrow from bar to bar in the stretch in which a copy is made."""
    row_of = {place.site: row for row, place in enumerate(grid.view.places) if place.site}
    look = {"stroke": svg.WARN, "stroke_width": 1.6, "stroke_dasharray": "1.6 1.6"}
    for number, copy in enumerate(grid.view.copies):
        if copy.from_site not in row_of or copy.to_site not in row_of:
            continue
        x = grid.start(copy.stretch) + STRETCH - 14 - 7 * number
        start, end = (grid.middle(row_of[site]) for site in (copy.from_site, copy.to_site))
        down = 1 if end > start else -1
        first, last = start + down * BAR / 2, end - down * BAR / 2
        yield tag("line", x1=x, x2=x, y1=first, y2=last - down * 4, **look)
        tip = f"L{x - 3:.2f} {last - down * 5:.2f}L{x + 3:.2f} {last - down * 5:.2f}Z"
        yield tag("path", d=f"M{x:.2f} {last:.2f}{tip}", fill=svg.WARN)
        pen = Pen(tone=svg.WARN, bold=True, anchor="end", halo=svg.BODY)
        yield words(x - 3, (first + last) / 2 + 2.4, "copy", pen)


# --- services and mirrors -------------------------------------------------------------------------


def strips(grid: Grid) -> tuple[list[str], float]:
    """Below the rows: each service and mirror, whether it runs; then how to read it all."""
    view, y, found = grid.view, grid.bottom + 10, []
    services = [one.name for one in view.today.services] if view.today else []
    mirrors = [one.name for one in view.today.mirrors] if view.today else []
    if services or mirrors:
        found.append(words(MARGIN + 4, y + 6, "services and mirrors", svg.NAME))
        y += 11
    for name in services:
        states = [service_word(stretch_of(view, n), name) for n in range(grid.stretches)]
        found += [*strip(grid, y, name, states), *cuts(grid, y, name)]
        y += ROW
    for name in mirrors:
        states = [mirror_word(stretch_of(view, n), name) for n in range(grid.stretches)]
        found += strip(grid, y, name, states)
        y += ROW
    key = (
        "Bar: a part, '+ 4' with four parts on it. Thick left end, bold: just come. Hatched: this "
        "machine is off. Dashed: beside the machines. Dotted arrow: copied then."
    )
    for line in svg.lines_of(key, svg.fits(grid.right - MARGIN, svg.SMALL_MM)):
        y += svg.SMALL_MM + 2
        found.append(words(MARGIN + 4, y, line, svg.FAINT))
    return found, y + MARGIN


def strip(grid: Grid, y: float, name: str, states: States) -> Iterator[str]:
    """One line of words, one a stretch; what is not well is boxed and marked."""
    yield words(MARGIN + 4, y + 9, name, svg.FAINT, LABEL - 8)
    for number, (text, well) in enumerate(states):
        x = grid.start(number)
        fill, stroke = (svg.BODY, svg.LINE) if well else (svg.PAPER, svg.WARN)
        edge = {"stroke_width": 0.5} if well else {"stroke_width": 1.1}
        dashes = None if well else "2.5 1.8"
        look = {"rx": 1.6, "fill": fill, "stroke": stroke}
        yield rect(x, y + 1.5, STRETCH, BAR, **look, **edge, stroke_dasharray=dashes)
        pen = Pen(tone=svg.INK if well else svg.WARN, bold=not well)
        yield words(x + 5, y + 9.6, text, pen, STRETCH - 8)


def cuts(grid: Grid, y: float, name: str) -> Iterator[str]:
    """Between stretches: whether the service is cut off by the window."""
    for window in grid.view.windows:
        x = grid.start(window.number) - WINDOW / 2
        if name in window.down:
            yield words(x, y + 9.6, "cut off", MIDDLE)
        elif name in window.keep:
            ends = {"x1": x - WINDOW / 2, "x2": x + WINDOW / 2, "y1": y + 7.2, "y2": y + 7.2}
            yield tag("line", **ends, stroke=svg.INK, stroke_width=1.6)


def service_word(stretch: StretchView | None, name: str) -> tuple[str, bool]:
    """`up on lamp`, `down`."""
    found = next(one for one in stretch.services if one.name == name) if stretch else None
    if found and found.machines:
        return f"up on {' and '.join(found.machines)}", True
    return ("not yet up", True) if found and found.new else ("DOWN", False)


def mirror_word(stretch: StretchView | None, name: str) -> tuple[str, bool]:
    """`whole`, `lacks index-2`."""
    found = next(one for one in stretch.mirrors if one.name == name) if stretch else None
    if found is None or found.released:
        return "needed no longer", True
    return (f"LACKS {', '.join(found.missing)}", False) if found.missing else ("whole", True)
