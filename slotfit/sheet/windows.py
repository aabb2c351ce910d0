"""A sequence as one HTML page that needs nothing but itself: picture and lists to tick off."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from markupsafe import Markup

from slotfit.answers.sequence.answer import MachineWorkView, SequenceView, WindowView
from slotfit.answers.sequence.text import before_work, listed, state_words, steps
from slotfit.draw.windows import windows_svg
from slotfit.sheet.html_page import html_page


@dataclass(frozen=True, slots=True)
class MachineSteps:
    """What is done in one machine."""

    title: str
    steps: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class WindowSection:
    """One window, with what is done in it before the machines run again."""

    window: WindowView
    title: str
    before: tuple[str, ...]
    works: tuple[MachineSteps, ...]
    state: tuple[str, ...]


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
        "today": tuple(state_words(view.today, is_last=False)) if view.today else (),
        "checks_today": view.today.checks if view.today else (),
        "sections": tuple(section(view, window) for window in view.windows),
    }


def done(window: WindowView, work: MachineWorkView) -> tuple[tuple[str, str], ...]:
    """The steps in one machine; switching off comes after what firmware is told."""
    told, count = [*steps(work)], len(work.changes)
    pairs = [*zip(told[:count], work.changes, strict=True)]
    powered = [step for step, change in pairs if change.how != "jumper"]
    opened = [step for step, change in pairs if change.how == "jumper"]
    off = [("OFF", SWITCH_OFF)] if work.machine in window.off else []
    return (*powered, *off, *opened, *told[count:])


SWITCH_OFF = "shut it down, pull every power cord, wait until the board's standby light is out"


def section(view: SequenceView, window: WindowView) -> WindowSection:
    """One window."""
    names = dict(view.machines)
    return WindowSection(
        window,
        f"switch off {listed(window.off, names)}" if window.off else "nothing to do; wait",
        tuple(before_work(window, names)),
        tuple(
            MachineSteps(
                f"In {work.name}" if work.machine else "Beside the machines", done(window, work)
            )
            for work in window.work
        ),
        tuple(state_words(window.after, is_last=window is view.windows[-1])),
    )
