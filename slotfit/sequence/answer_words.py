"""An answer in one sentence, and its figures."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.listing import counted
from slotfit.model.status import Status
from slotfit.model.windows import Schedule
from slotfit.render.sequence.view import FigureView
from slotfit.sequence.plan import Sequenced


def headline(answer: Sequenced) -> str:
    """The answer in one sentence, without its full stop."""
    goal, made = answer.ready.goal, answer.scheduled
    if made is None:
        if goal and goal.status is Status.IMPOSSIBLE:
            return "There is no layout to end with: `slotfit place` on this file says why"
        return "Time ran out before a layout to end with was found"
    if made.schedule:
        return scheduled_headline(made.schedule, made.status, made.ruled_out)
    if made.status is Status.IMPOSSIBLE:
        return "No sequence of windows keeps everything that is asked for"
    known = f"; {windows_text(made.ruled_out)} are proven not to do" if made.ruled_out > 0 else ""
    return f"Time ran out before a sequence was found or ruled out{known}"


def scheduled_headline(made: Schedule, status: Status, ruled_out: int) -> str:
    """How many windows, and how far that is proven."""
    totals = made.totals
    if not totals.windows:
        return "Nothing has to move: today's layout is the goal already"
    text = f"{windows_text(totals.windows)}, {counted(totals.touches, 'part')} touched"
    if status is Status.PROVEN:
        return f"{text}; proven: fewer do not do"
    fewest = totals.windows == ruled_out + 1
    first = "fewer windows do not do; " if fewest else ""
    return f"{text}; the best found in time, {first}not proven best"


def windows_text(number: int) -> str:
    """`1 window`, `3 windows`."""
    return counted(number, "window")


def figures(made: Schedule) -> Iterator[FigureView]:
    """The figures in the order that counted."""
    for name, one, many in FIGURES:
        value, bound = getattr(made.totals, name), getattr(made.bound, name)
        says = (one if value == 1 else many).format(value)
        if bound < value:
            says += f" (not proven; no less than {bound})"
        yield FigureView(name, value, bound, says)


FIGURES = (
    ("windows", "1 window", "{} windows"),
    ("used", "a machine is off in 1 of them", "a machine is off in {} of them"),
    ("touches", "1 part is touched", "{} parts are touched, each counted once a window"),
    (
        "reduced",
        "1 stretch in which something is down, missing or slow",
        "{} stretches of a service, mirror or part that is down, missing or slow",
    ),
    ("facts", "1 unproven fact is rested on that neither end rests on",
     "{} unproven facts are rested on that neither end rests on"),
    ("downs", "1 machine is switched off", "machines are switched off {} times"),
    ("changes", "1 setting changes", "{} settings change"),
)  # fmt: skip
"""Figure -> its words for one and for several; the order is that of `Totals`."""
