"""The sheet: one HTML page that needs nothing but itself, to take to the open case."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator

from markupsafe import Markup

from slotfit.answers.check.answer import Word
from slotfit.answers.compare.answer import CompareAnswer
from slotfit.answers.place.answer import RETIRED, PowerView, View
from slotfit.answers.sequence.answer import SequenceView
from slotfit.answers.text_layout import gb_s, watts
from slotfit.draw.picture import topology_svg
from slotfit.draw.slot_row import slot_row_svg
from slotfit.draw.svg import plain
from slotfit.draw.topology import topology
from slotfit.errors import InputError
from slotfit.sheet.boards import boards_values
from slotfit.sheet.explorer import VERDICTS, Explorer
from slotfit.sheet.html_page import html_page
from slotfit.sheet.steps import first_start, leftovers, steps_of
from slotfit.sheet.windows import ticks_key, windows_values


def as_sheet(
    view: View,
    explorer: Explorer,
    windows: SequenceView | None = None,
    boards: CompareAnswer | None = None,
) -> str:
    """
    The whole page.

    `windows`: the way there, whose steps take the place of those that do all at once. `boards`:
    the same parts elsewhere.
    """
    way = windows if windows and windows.windows else None
    sections = (first_start(view),) if way else steps_of(view)
    drawn = bool(view.receptacles)
    values = {
        "view": view,
        "key": f"slotfit {view.build} {plan_hash(view)}" + (f" {ticks_key(way)}" if way else ""),
        "windows": windows_values(way) if way else None,
        "no_windows": "" if way or not windows else f"{windows.headline}. {ALL_AT_ONCE}",
        "boards": boards_values(boards) if boards else None,
        "steps_title": "After the last window" if way else "Steps",
        "summary": tuple(summary(view)),
        "below": tuple(below(view)),
        "row_flat": Markup(slot_row_svg(view, "flat", "f-")) if drawn else "",  # noqa: S704 - escaped
        "row_broad": broad(view),
        "row_tower": Markup(slot_row_svg(view, "tower", "t-")) if drawn else "",  # noqa: S704 - there
        "topology": topology_or_nothing(view),
        "sections": sections,
        "leftovers": leftovers(view),
        "data": embedded(explorer),
        "beside": explorer.beside,
    }
    styles = ["sheet.css"]
    styles += ["sequence.css"] if windows else []
    styles += ["compare.css"] if boards else []
    return html_page("sheet.html", styles, values, ["ticks.js", "explorer.js"])


ALL_AT_ONCE = (
    "What stands against it is told by slotfit sequence. The steps below do everything at once: "
    "what was to stay up goes down."
)
"""What to mind where there is no sequence of windows."""


def broad(view: View) -> str:
    """How a row of many slots is called, that would be too small to read on a telephone."""
    slots = max((row.positions or 0 for row in view.rows), default=0)
    return "broadest" if slots > MOST_BROAD else "broad" if slots > MOST_NARROW else ""


MOST_NARROW, MOST_BROAD = 10, 16
"""So many slots side by side are read at 320 pixels, and at 480."""


def topology_or_nothing(view: View) -> Markup:
    """The topology where there is a layout program."""
    try:
        return Markup(topology_svg(topology(view), prefix="l-"))  # noqa: S704 - escaped there
    except InputError:
        return Markup()


def plan_hash(view: View) -> str:
    """The same for the same seats and settings, so that ticks outlive a new sheet of one plan."""
    chosen = (
        [(seat.item, seat.site) for seat in view.seats],
        [(setting.machine, setting.group, setting.text) for setting in view.settings],
    )
    return hashlib.sha256(json.dumps(chosen).encode()).hexdigest()[:16]


def summary(view: View) -> Iterator[tuple[str, str]]:
    """Key figures, each with its name."""
    placed = sum(1 for seat in view.seats if not (seat.body and seat.body.companion_of))
    gone = sum(part.why == RETIRED for part in view.left_out)
    out = len(view.left_out) - gone
    said = (f"{out} left out" if out else "", f"{gone} retired" if gone else "")
    yield "Parts placed", ", ".join([str(placed), *filter(None, said)])
    changes = sum(setting.changes and setting.how == "setting" for setting in view.settings)
    yield "Firmware settings to change", str(changes)
    yield "Rests on", f"{len(view.facts)} unproven" if view.facts else "nothing unproven"
    for budget in view.power:
        yield f"Power of {budget.machine}", power_words(budget)


def power_words(budget: PowerView) -> str:
    """`892.5 W of 1200 W`."""
    total = f"{(budget.base_w or 0) + budget.parts_w:g} W"
    of = f" of {watts(budget.limit_w)}" if budget.limit_w else ", supply not said"
    base = "" if budget.base_w is not None else ", base load not said"
    unknown = f", {len(budget.unknown)} draws not known" if budget.unknown else ""
    return total + of + base + unknown


def below(view: View) -> Iterator[str]:
    """Links and shared links that do less than the parts could."""
    for seat in view.seats:
        for link in seat.links:
            if link.why:
                yield f"{seat.item}: {link.text}, could do {link.able_text} ({link.why})"
    for hop in view.hops:
        if hop.short_mb_s:
            wants = gb_s(max(hop.in_mb_s, hop.out_mb_s))
            yield (
                f"{hop.name}: its link upwards carries {gb_s(hop.capacity_mb_s)} GB/s each way, "
                f"{wants} GB/s would flow through it"
            )


def embedded(explorer: Explorer) -> Markup:
    """The explorer's data; each text once, verdicts as numbers."""
    parts = {part: number for number, (part, _) in enumerate(explorer.parts)}
    sites = {site: number for number, (site, _, _) in enumerate(explorer.sites)}
    texts: dict[str, int] = {}

    def numbers(said: tuple[str, ...]) -> list[int]:
        return [texts.setdefault(plain(text), len(texts)) for text in said]

    cells = [
        [
            parts[cell.part],
            sites[cell.site],
            VERDICTS.index(cell.verdict),
            int(cell.planned),
            numbers(cell.says),
            numbers(cell.reasons),
            numbers(cell.aside),
        ]
        for cell in explorer.cells
    ]
    data = {
        "parts": [[plain(text) for text in part] for part in explorer.parts],
        "sites": [[plain(text) for text in site] for site in explorer.sites],
        "names": [plain(name) for name in site_names(explorer)],
        "verdicts": VERDICTS,
        "yes": VERDICTS.index(Word.NOT_KNOWN.value),
        "texts": list(texts),
        "cells": cells,
    }
    text = json.dumps(data, separators=(",", ":"))
    # Inside a script element only "</script" and "<!--" end or change it: no "<" is left.
    return Markup(text.replace("<", "\\u003c"))  # noqa: S704 - see above


def site_names(explorer: Explorer) -> Iterator[str]:
    """Short, and told apart: the label, with what it is on where that is not the board."""
    for site, label, about in explorer.sites:
        _, _, on = about.partition(", on ")
        yield f"{label} on {on}" if on else (label or site)
