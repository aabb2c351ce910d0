"""A sequence for a terminal: 80 columns, no colour needed."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.render.drawn_text import cut
from slotfit.render.sequence.view import (
    ApartView,
    HelpView,
    MachineWorkView,
    NoWayView,
    PlaceView,
    SequenceView,
    StretchView,
    WindowView,
)
from slotfit.render.sequence.words import before_work, listed, state_words, steps
from slotfit.render.text_layout import WIDTH, bullet, fill, heading


def as_text(view: SequenceView) -> str:
    """The whole answer; every line ends where the words end."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: SequenceView) -> Iterator[str]:
    """The answer, the picture in letters, window by window, what to know."""
    yield from fill(view.title + (" (invented)" if view.invented else ""))
    yield from fill(view.headline + ".")
    if view.no_way:
        yield from no_way(view.no_way)
    yield from grid(view)
    if view.today and view.windows:
        yield from heading("Today")
        yield from state(view.today, view.windows[0])
    for number, window in enumerate(view.windows):
        later = view.windows[number + 1] if number + 1 < len(view.windows) else None
        yield from window_lines(view, window, later)
    yield from rests_on(view)
    yield from figures(view)
    if view.notes:
        yield from heading("Taken for granted")
        for note in view.notes:
            yield from bullet(note)
    if view.cautions:
        yield from heading("In every window, as far as its numbers say")
        for number, caution in enumerate(view.cautions, 1):
            yield from bullet(f"({number}) {caution}", hang=8)


def grid(view: SequenceView) -> Iterator[str]:
    """Receptacles as rows, stretches as columns; what moves is marked where it arrives."""
    if not view.places:
        return
    count = len(view.windows) + 1
    label = max(len(place.label) for place in view.places)
    label = min(label, 16)
    wide = max(min((WIDTH - 4 - label) // count - 2, 18), 7)
    yield from heading("Where everything is ('>' has just come)")
    head = ["today", *(f"after {number}" for number in range(1, count))]
    yield "  " + " " * label + "".join(f"  {text.ljust(wide)}" for text in head)
    for machine in dict.fromkeys(place.machine for place in view.places):
        if len(view.machines) > 1 or not machine:
            yield f"  {machine or 'beside the machines'}"
        for place in view.places:
            if place.machine == machine:
                cells = (f"  {cell.ljust(wide)}" for cell in cells_of(place, wide))
                yield "  " + cut(place.label, label).ljust(label) + "".join(cells)


def cells_of(place: PlaceView, wide: int) -> Iterator[str]:
    """The texts of one row."""
    before = place.cells[0].item
    for cell in place.cells:
        if cell.item is None:
            yield "."
        else:
            more = f" +{cell.riders}" if cell.riders else ""
            mark = ">" if cell.item != before else ""
            yield mark + cut(cell.item, wide - len(more) - len(mark)) + more
        before = cell.item


def window_lines(view: SequenceView, window: WindowView, later: WindowView | None) -> Iterator[str]:
    """One window and the stretch after it."""
    names = dict(view.machines)
    what = f"switch off {listed(window.off, names)}" if window.off else "nothing to do; wait"
    yield from heading(f"Window {window.number}: {what}")
    for text in before_work(window, names):
        yield from bullet(text)
    for work in window.work:
        yield from work_lines(work, several=len(window.work) > 1)
    for risk in window.risks:
        yield from bullet(f"AT RISK: {risk}")
    if window.cautions:
        numbers = [str(n) for n, one in enumerate(view.cautions, 1) if one in window.cautions]
        yield from bullet(f"mind: {', '.join(numbers)} of the list below")
    yield f"  After window {window.number}:"
    yield from state(window.after, later)


def work_lines(work: MachineWorkView, *, several: bool) -> Iterator[str]:
    """What is done in one machine."""
    if several:
        yield f"  {work.machine or 'Beside the machines'}:"
    for kind, text in steps(work):
        yield from bullet(f"{kind.ljust(4)} {text}", hang=9)


def state(stretch: StretchView, later: WindowView | None) -> Iterator[str]:
    """How things are, and what to do before the next window."""
    for check in stretch.checks:
        yield from bullet(f"[ ] {check}", hang=8)
    for text in state_words(stretch, is_last=later is None):
        yield from bullet(text)
    yield from bullet(stretch.stop)


def rests_on(view: SequenceView) -> Iterator[str]:
    """Unproven facts, and how to prove them."""
    if not view.facts:
        return
    yield from heading("Rests on (nobody has proven it; find out before the first window)")
    for number, fact in enumerate(view.facts, 1):
        when = ", ".join("today" if not one else f"after {one}" for one in fact.stretches)
        yield from bullet(f"({number}) {fact.statement} [{when}]", hang=6)
        yield from fill(f"Find out: {fact.find_out}.", "      ")


def figures(view: SequenceView) -> Iterator[str]:
    """What was made small, in order."""
    if view.figures:
        yield from heading("What was made small, in this order")
        for number, figure in enumerate(view.figures, 1):
            yield from bullet(f"{number}. {figure.says}", hang=7)


def no_way(why: NoWayView) -> Iterator[str]:
    """The clash, and what would help."""
    if why.ruled_out is None:
        yield "However many windows there are."
    elif why.ruled_out >= 0:
        yield f"Not in up to {why.ruled_out} windows."
    yield from heading("What cannot all be kept")
    for demand in why.demands or ("the way from today's layout to the goal by itself",):
        yield from bullet(demand)
    if not why.minimal:
        yield "  (time ran out: perhaps not all of these are to blame)"
    for apart in why.apart:
        yield from apart_lines(apart)
    yield from help_lines(why)


def apart_lines(apart: ApartView) -> Iterator[str]:
    """Why both ends of a copy are never in one machine together."""
    beside = f" beside {', '.join(apart.beside)}" if apart.beside else ""
    yield from heading(f"Why {apart.copy} are never both in {apart.machine}{beside}")
    for text, rule in apart.reasons:
        yield from bullet(f"{text} [{rule}]")


def help_lines(why: NoWayView) -> Iterator[str]:
    """Each help with the sequence it gives."""
    if not why.helps:
        yield from heading("No single help, and no two, of those tried make it possible")
        return
    size = len(why.helps[0].do)
    yield from heading("Any one of these makes it possible" if size == 1 else "These together do")
    for one in why.helps:
        yield from bullet(one_help(one))
        for text in one.write:
            yield from fill(f"write: {text}", "      ")
    tried = f"{why.tried} single helps were tried"
    yield from fill(f"({tried}{'' if why.complete else ', not all to the end'}.)", "  ")


def one_help(one: HelpView) -> str:
    """What to do, and what comes of it."""
    windows = f"{one.windows} window{'' if one.windows == 1 else 's'}"
    proven = "" if one.proven else ", not proven fewest"
    return f"{' and '.join(one.do)}: then {windows}, {one.touches} parts touched{proven}"
