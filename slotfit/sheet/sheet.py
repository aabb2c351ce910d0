"""
The sheet: one HTML page that needs nothing but itself, to take to the open case.

Its explorer says for every part and every receptacle whether it would work there, and why (not):
all of it is what `check` says.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from markupsafe import Markup

from slotfit.answers.check.check import receptacle_verdict
from slotfit.answers.check.every import BuildVerdicts, PartVerdicts, everything
from slotfit.answers.check.text import sentences
from slotfit.answers.check.verdict import Word
from slotfit.answers.compare.answer import CompareAnswer
from slotfit.answers.names import bearer, printed, watts
from slotfit.answers.no_plan.answer import NoPlanAnswer
from slotfit.answers.no_plan.explain import explain, no_plan_answer
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.no_plan.text import no_plan_lines
from slotfit.answers.place.answer import PlaceAnswer, PlaceVerdict, Step
from slotfit.answers.place.of_plan import place
from slotfit.answers.place.plan import best_plan
from slotfit.answers.place.text import shared_short, typical_words
from slotfit.answers.sequence.answer import SequenceAnswer, SequenceVerdict
from slotfit.answers.sequence.plan import goal_of, sequence
from slotfit.answers.text_layout import laid_out
from slotfit.answers.why.why import refused
from slotfit.draw.picture import topology_svg
from slotfit.draw.row_measure import STAND_WORDS
from slotfit.draw.slot_row import slot_row_svg
from slotfit.draw.svg import plain
from slotfit.draw.topology import topology
from slotfit.errors import InputError
from slotfit.model.plan import Plan, Status
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rulebook import is_wish
from slotfit.sheet.boards import boards_values
from slotfit.sheet.html_page import html_page
from slotfit.sheet.steps import first_start, leftovers, settings_by, steps_of
from slotfit.sheet.windows import ticks_key, windows_values
from slotfit.solve.place import Progress, silent

VERDICTS = tuple(word.value for word in Word)
"""Best first."""


@dataclass(frozen=True, slots=True)
class ExplorerCell:
    """One part in one receptacle."""

    part: str
    site: str
    verdict: str
    planned: bool
    """The plan puts it there."""
    says: tuple[str, ...]
    """What is seen of it, what to set, what that hangs on."""
    reasons: tuple[str, ...]
    """Why it does not work."""
    aside: tuple[str, ...] = ()
    """What `check` was not asked: without today's parts; what the build file wishes."""


@dataclass(frozen=True, slots=True)
class Explorer:
    """Everything the page lets a reader ask."""

    parts: tuple[tuple[str, str], ...]
    """Part, name."""
    sites: tuple[tuple[str, str, str], ...]
    """Receptacle, label, form and owner in words."""
    cells: tuple[ExplorerCell, ...]
    beside: tuple[str, ...] = ()
    """What the answers take to be where, in sentences."""


def explorer_of(
    problem: Problem, told: BuildVerdicts, seating: Seating, plan: Plan | None
) -> Explorer:
    """Every pair of a part and a receptacle of another thing."""
    planned = {(seat.part, seat.receptacle) for seat in plan.seats} if plan else set()
    free = {(c.part, c.site): c for c in cells_of(problem, told.emptied, planned)}
    cells = tuple(
        replace(one, aside=tuple(asides(one, free.get((one.part, one.site)), problem, seating)))
        for one in cells_of(problem, (*told.today, *told.carriers), planned)
    )
    answered, many = {cell.site for cell in cells}, len(problem.machines) > 1
    beside = [
        "Each answer is about one part beside what sits in the machines today."
        if any(one.question.today for one in told.today)
        else "Each answer is about one part, with what the plan puts on it, in the empty machine."
    ]
    if any(one.verdicts for one in told.carriers):
        beside.append(
            "Parts that hold others and are in no machine yet are taken to be where they will go."
        )
    beside.append("The plan shares the receptacles out among all parts together.")
    return Explorer(
        tuple((part.id, part.spec.name or part.spec.id) for part in problem.parts),
        tuple(
            (
                one.id,
                printed(one.spec),
                one.spec.form
                + (f", on {bearer(problem, one)}" if many or not one.on_board else ""),
            )
            for one in problem.receptacles
            if one.id in answered
        ),
        cells,
        tuple(beside),
    )


def cells_of(
    problem: Problem, answers: Iterable[PartVerdicts], planned: set[tuple[str, str]]
) -> Iterator[ExplorerCell]:
    """A cell a part and receptacle; parts that are alike are named one by one."""
    brackets = any(part.spec.plug.form == "opening" for part in problem.parts)
    for answer in answers:
        called = answer.question.part_id
        for verdict in answer.verdicts:
            if verdict.receptacle.spec.form == "opening" and not brackets:
                continue
            found = receptacle_verdict(answer.question, verdict)
            receptacle = verdict.receptacle.id
            for name in answer.names:
                yield ExplorerCell(
                    name,
                    receptacle,
                    found.status,
                    (name, receptacle) in planned,
                    tuple(text.replace(called, name) for text in sentences(found)),
                    tuple(reason.text.replace(called, name) for reason in found.reasons),
                )


def asides(
    cell: ExplorerCell, free: ExplorerCell | None, problem: Problem, seating: Seating
) -> Iterator[str]:
    """
    What is worth a word beside the verdict: how it would be in the empty machine, and wishes.

    The plan cannot have it there where that is wished otherwise, which `check` leaves aside.
    """
    if free:
        said = f"{free.verdict}; {free.says[0]}" if free.says else free.verdict
        yield f"With nothing else in the machine: {said}."
    if cell.verdict == Word.NO.value:
        return
    against = refused(seating, cell.part, cell.site)
    for no in {one.no.rule: one.no for one in against if is_wish(one.no)}.values():
        if no.cites("wish", "endpoints"):
            wanted = problem.part[cell.part].wish.endpoints
            yield f"The build file asks for {wanted} endpoints to be seen."
        else:
            yield f"The build file asks for something else: {no.text}."


@dataclass(frozen=True, slots=True)
class SheetAnswer:
    """What one page to take to the open case has."""

    plan: PlaceAnswer
    explorer: Explorer
    windows: SequenceAnswer | None = None
    """The way there, whose steps take the place of those that do all at once."""
    boards: CompareAnswer | None = None
    """The same parts elsewhere."""
    no_plan: NoPlanAnswer | None = None
    """Why there is no plan, and the ways out."""

    @property
    def verdict(self) -> PlaceVerdict | SequenceVerdict:
        """Of the way there, or of the plan where none is asked for."""
        return self.windows.verdict if self.windows else self.plan.verdict


def sheet(
    problem: Problem,
    shop: Shop | None = None,
    seconds: float = 60.0,
    progress: Progress = silent,
    boards: CompareAnswer | None = None,
) -> SheetAnswer:
    """
    The plan with what fits where and, where the build has a sequence, the windows on the way.

    `shop` has carriers that could be borrowed where there is no way. `boards`: what `compare`
    answered, to be shown beside it. At most so many `seconds` for the plan, and again for the
    windows. Raises InputError.
    """
    goal, windows = goal_of(problem), None
    placed = best_plan(goal, seconds, progress)
    if goal is not problem and placed.plan:
        windows = sequence(problem, shop, seconds, progress, placed)
    impossible = placed.status is Status.IMPOSSIBLE
    told = no_plan_answer(explain(goal, shop, seconds, progress=progress)) if impossible else None
    explorer = explorer_of(goal, everything(goal, placed.plan), placed.seating, placed.plan)
    return SheetAnswer(place(goal, found=placed), explorer, windows, boards, told)


def as_sheet(sheet: SheetAnswer) -> str:
    """The whole page."""
    answer, windows, boards = sheet.plan, sheet.windows, sheet.boards
    way = windows if windows and windows.plan.windows else None
    rows = dict.fromkeys(("flat", "tower"), Markup())
    if answer.plan.receptacles:
        rows = {stand: Markup(slot_row_svg(answer, stand, f"{stand[0]}-")) for stand in STAND_WORDS}  # noqa: S704 - escaped there
    slots = max((row.positions or 0 for row in answer.plan.rows), default=0)
    values = {
        "answer": answer,
        "key": f"slotfit {answer.build} {plan_hash(answer)}"
        + (f" {ticks_key(way)}" if way else ""),
        "windows": windows_values(way) if way else None,
        "no_windows": "" if way or not windows else f"{windows.verdict.headline}. {ALL_AT_ONCE}",
        "boards": boards_values(boards) if boards else None,
        "no_plan": tuple(reasons(answer, sheet.no_plan)) if sheet.no_plan else (),
        "steps_title": "After the last window" if way else "Steps",
        "summary": tuple(summary(answer)),
        "below": tuple(below(answer)),
        "typical": tuple(map(typical_words, answer.watch.typical)),
        "row_flat": rows["flat"],
        "row_broad": "broadest" if slots > MOST_BROAD else "broad" if slots > MOST_NARROW else "",
        "row_tower": rows["tower"],
        "topology": topology_or_nothing(answer),
        "sections": (first_start(answer),) if way else steps_of(answer),
        "leftovers": leftovers(answer),
        "data": embedded(sheet.explorer),
        "beside": sheet.explorer.beside,
    }
    more = {"sequence.css": windows, "compare.css": boards}
    styles = ["sheet.css", *(style for style, shown in more.items() if shown)]
    return html_page("sheet.html", styles, values, ["ticks.js", "explorer.js"])


UNBROKEN = 10_000
"""Characters a line: the page breaks paragraphs itself."""

DEEPEST = 4
"""Steps that a paragraph is indented at most."""


def reasons(answer: PlaceAnswer, told: NoPlanAnswer) -> Iterator[tuple[int, str]]:
    """Why there is no plan and what would help: how deep a paragraph stands, and what it says."""
    with laid_out(UNBROKEN):
        lines = [*no_plan_lines(answer, told)]
    for line in lines:
        text = line.lstrip()
        if text:
            yield min((len(line) - len(text)) // 2, DEEPEST), text


ALL_AT_ONCE = (
    "What stands against it is told by slotfit sequence. The steps below do everything at once: "
    "what was to run between windows goes down."
)
"""What to mind where there is no sequence of windows."""

MOST_NARROW, MOST_BROAD = 10, 16
"""So many slots side by side are read at 320 pixels, and at 480; a row of more is scrolled."""


def topology_or_nothing(answer: PlaceAnswer) -> Markup:
    """The topology where there is a layout program."""
    try:
        return Markup(topology_svg(topology(answer), prefix="l-"))  # noqa: S704 - escaped there
    except InputError:
        return Markup()


def plan_hash(answer: PlaceAnswer) -> str:
    """The same for the same seats and settings, so that ticks outlive a new sheet of one plan."""
    chosen = (
        [(seat.item, seat.site) for seat in answer.plan.seats],
        [(one.machine, one.lane_group, one.division.text) for one in answer.do.settings],
        *([(one.site, one.generation)] for one in answer.do.speeds),
    )
    return hashlib.sha256(json.dumps(chosen).encode()).hexdigest()[:16]


def summary(answer: PlaceAnswer) -> Iterator[tuple[str, str]]:
    """Key figures, each with its name."""
    more, rests_on = answer.more, len(answer.watch.rests_on)
    placed = sum(seat.body.companion_of is None for seat in answer.plan.seats)
    gone = sum(part.retired for part in more.left_out)
    out = len(more.left_out) - gone
    said = (str(placed), f"{out} left out" if out else "", f"{gone} retired" if gone else "")
    yield "Parts placed", ", ".join(filter(None, said))
    steps = [one.division.step for one in settings_by(answer, "setting")]
    steps += ["set"] * len(answer.do.speeds)
    told = ((steps.count(step), words) for step, words in SETTINGS_COUNTED.items())
    yield "Firmware settings", ", ".join(f"{n} {words}" for n, words in told if n) or "none"
    yield "Rests on", f"{rests_on} unproven" if rests_on else "nothing unproven"
    for budget in more.power:
        total = f"{budget.total_w:g} W"
        total += f" of {watts(budget.limit_w)}" if budget.limit_w else ", supply not said"
        typical = (budget.base_w or 0) + (budget.typical_w or 0)
        total += "" if budget.typical_w is None else f" ({watts(typical)} typical)"
        total += "" if budget.base_w is not None else ", base load not said"
        total += f", {len(budget.unknown)} draws not known" if budget.unknown else ""
        total += "" if budget.start_w is None else f"; {watts(budget.start_w)} at start"
        yield f"Power of {budget.machine}", total


SETTINGS_COUNTED: Mapping[Step, str] = {
    "set": "to set",
    "must be": "to see to",
    "stays": "as today",
}
"""What is to be done about settings -> what so many of them are."""


def below(answer: PlaceAnswer) -> Iterator[str]:
    """Links and shared links that do less than the parts could."""
    for seat, link in answer.plan.slower:
        yield f"{seat.item}: {link.text}, could do {link.able_text} ({link.why})"
    yield from shared_short(answer)


def embedded(explorer: Explorer) -> Markup:
    """The explorer's data; each text once, verdicts as numbers."""
    parts = {part: number for number, (part, _) in enumerate(explorer.parts)}
    receptacles = {receptacle: number for number, (receptacle, _, _) in enumerate(explorer.sites)}
    texts: dict[str, int] = {}

    def numbers(said: tuple[str, ...]) -> list[int]:
        return [texts.setdefault(plain(text), len(texts)) for text in said]

    cells = [
        [
            parts[cell.part],
            receptacles[cell.site],
            VERDICTS.index(cell.verdict),
            int(cell.planned),
            numbers(cell.says),
            numbers(cell.reasons),
            numbers(cell.aside),
        ]
        for cell in explorer.cells
    ]
    names = []  # short, and told apart: with what it is on where that is not the board
    for receptacle, label, about in explorer.sites:
        _, _, on = about.partition(", on ")
        names.append(plain(f"{label} on {on}" if on else (label or receptacle)))
    data = {
        "parts": [[plain(text) for text in part] for part in explorer.parts],
        "sites": [[plain(text) for text in receptacle] for receptacle in explorer.sites],
        "names": names,
        "verdicts": VERDICTS,
        "yes": VERDICTS.index(Word.NOT_KNOWN.value),
        "texts": list(texts),
        "cells": cells,
    }
    text = json.dumps(data, separators=(",", ":"))
    # Inside a script element only "</script" and "<!--" end or change it: no "<" is left.
    return Markup(text.replace("<", "\\u003c"))  # noqa: S704 - see above
