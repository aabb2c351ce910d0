"""A sequence as one HTML page that needs nothing but itself: picture and lists to tick off."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass

from markupsafe import Markup

from slotfit.answers.sequence.answer import MachineWork, PowerDown, SequenceAnswer
from slotfit.answers.sequence.text import before_work, state_words, steps, window_title
from slotfit.answers.text_layout import plain
from slotfit.draw.windows import windows_svg
from slotfit.sheet.html_page import html_page


@dataclass(frozen=True, slots=True)
class WindowSection:
    """One window with the stretch after it."""

    number: int
    title: str
    before: tuple[str, ...]
    works: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    """Each with its heading and its steps."""
    risks: tuple[str, ...]
    cautions: tuple[str, ...]
    checks: tuple[str, ...]
    state: tuple[str, ...]
    stop: str
    whole: bool


def as_page(answer: SequenceAnswer) -> str:
    """The whole page."""
    values = {
        "answer": answer,
        "windows": windows_values(answer),
        "key": f"slotfit {ticks_key(answer)}",
    }
    return html_page("sequence.html", ["sequence.css"], values, ["ticks.js"])


def ticks_key(answer: SequenceAnswer) -> str:
    """The same for the same work in the same windows, so that ticks outlive a new page."""
    work = json.dumps(plain(answer.do.work))
    return f"{answer.build} windows {hashlib.sha256(work.encode()).hexdigest()[:16]}"


def windows_values(answer: SequenceAnswer) -> dict[str, object]:
    """What `windows.html` lays out."""
    today = answer.plan.stretches[0] if answer.plan.stretches else None
    return {
        "answer": answer,
        "picture": Markup(windows_svg(answer, "w-")),  # noqa: S704 - escaped there
        "stop_today": today.stop if today else "",
        "today": tuple(state_words(today, is_last=False)) if today else (),
        "checks_today": today.checks if today else (),
        "sections": tuple(section(answer, window) for window in answer.plan.windows),
    }


def section(answer: SequenceAnswer, window: PowerDown) -> WindowSection:
    """One window."""
    number, do, plan = window.number, answer.do, answer.plan
    after = plan.stretches[number]
    return WindowSection(
        number=number,
        title=window_title(answer, window),
        before=tuple(before_work(window, answer.machines)),
        works=tuple(
            (f"In {work.name}" if work.machine else "Beside the machines", done(window, work))
            for work in do.work
            if work.window == number
        ),
        risks=tuple(risk.text for risk in answer.watch.risks if number in risk.windows),
        cautions=tuple(caution.text for caution in do.cautions if number in caution.windows),
        checks=after.checks,
        state=tuple(state_words(after, is_last=number == len(plan.windows))),
        stop=after.stop,
        whole=after.whole,
    )


def done(window: PowerDown, work: MachineWork) -> tuple[tuple[str, str], ...]:
    """The steps in one machine; switching off comes after what firmware is told."""
    told, count = [*steps(work)], len(work.changes)
    jumpers = [one.chosen_by == "jumper" for one in work.changes]
    powered = [step for step, jumper in zip(told[:count], jumpers, strict=True) if not jumper]
    opened = [step for step, jumper in zip(told[:count], jumpers, strict=True) if jumper]
    if work.machine in window.off:
        off = [("OFF", SWITCH_OFF)]
    else:
        off = [("ON", "leave it running")] if work.machine else []
    return (*powered, *off, *opened, *told[count:])


SWITCH_OFF = "shut it down, pull every power cord, wait until the board's standby light is out"
