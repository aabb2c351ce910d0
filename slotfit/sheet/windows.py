"""A sequence as one HTML page that needs nothing but itself: picture and lists to tick off."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from markupsafe import Markup

from slotfit.answers.sequence.answer import MachineWorkView, SequenceView, StretchView, WindowView
from slotfit.answers.sequence.text import before_work, listed, state_words, steps
from slotfit.draw.windows import windows_svg
from slotfit.sheet.html_page import html_page


@dataclass(frozen=True, slots=True)
class Work:
    """What is done in one machine."""

    title: str
    steps: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Section:
    """One window with the stretch after it."""

    number: int
    title: str
    before: tuple[str, ...]
    works: tuple[Work, ...]
    risks: tuple[str, ...]
    cautions: tuple[str, ...]
    checks: tuple[str, ...]
    state: tuple[str, ...]
    stop: str
    whole: bool


def as_page(view: SequenceView) -> str:
    """The whole page."""
    values = {"view": view, "windows": windows_values(view), "key": f"slotfit {ticks_key(view)}"}
    return html_page("sequence.html", ["sequence.css"], values, ["ticks.js"])


def ticks_key(view: SequenceView) -> str:
    """The same for the same work in the same windows, so that ticks outlive a new page."""
    work = repr([window.work for window in view.windows])
    return f"{view.build} windows {hashlib.sha256(work.encode()).hexdigest()[:16]}"


def windows_values(view: SequenceView) -> dict[str, object]:
    """What `windows.html` lays out."""
    return {
        "view": view,
        "picture": Markup(windows_svg(view, "w-")),  # noqa: S704 - escaped there
        "today": today(view),
        "checks_today": view.today.checks if view.today else (),
        "sections": tuple(section(view, window) for window in view.windows),
    }


def done(window: WindowView, work: MachineWorkView) -> tuple[tuple[str, str], ...]:
    """The steps in one machine; switching off comes after what firmware is told."""
    told, count = [*steps(work)], len(work.changes)
    jumpers = [one.how == "jumper" for one in work.changes]
    powered = [step for step, jumper in zip(told[:count], jumpers, strict=True) if not jumper]
    opened = [step for step, jumper in zip(told[:count], jumpers, strict=True) if jumper]
    off = [("OFF", SWITCH_OFF)] if work.machine in window.off else []
    return (*powered, *off, *opened, *told[count:])


SWITCH_OFF = "shut it down, pull every power cord, wait until the board's standby light is out"


def today(view: SequenceView) -> tuple[str, ...]:
    """How things are before the first window."""
    return tuple(state_words(view.today, is_last=False)) if view.today else ()


def section(view: SequenceView, window: WindowView) -> Section:
    """One window."""
    names = dict(view.machines)
    after: StretchView = window.after
    is_last = window is view.windows[-1]
    return Section(
        number=window.number,
        title=f"switch off {listed(window.off, names)}" if window.off else "nothing to do; wait",
        before=tuple(before_work(window, names)),
        works=tuple(
            Work(f"In {work.name}" if work.machine else "Beside the machines", done(window, work))
            for work in window.work
        ),
        risks=window.risks,
        cautions=window.cautions,
        checks=after.checks,
        state=tuple(state_words(after, is_last=is_last)),
        stop=after.stop,
        whole=after.whole,
    )
