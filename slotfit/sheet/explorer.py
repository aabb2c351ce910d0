"""
For every part and every receptacle: would it work there, and why (not).

All of it is what `check` says; the page only shows it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from slotfit.answers.check.answer import AllTold, Told, Word
from slotfit.answers.check.text import sentences
from slotfit.answers.check.view import VerdictView, verdict_view
from slotfit.answers.why.answer import refused
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem, Site
from slotfit.model.seat import Seating
from slotfit.rulebook import BY_ID

VERDICTS = tuple(word.value for word in Word)
"""Best first."""


@dataclass(frozen=True, slots=True)
class Cell:
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
    """Item, name."""
    sites: tuple[tuple[str, str, str], ...]
    """Site, label, form and owner in words."""
    cells: tuple[Cell, ...]
    beside: tuple[str, ...] = ()
    """What the answers take to be where, in sentences."""


def explorer_of(problem: Problem, told: AllTold, seating: Seating, plan: Plan | None) -> Explorer:
    """Every pair of a part and a receptacle of another thing."""
    planned = {(seat.item, seat.site) for seat in plan.seats} if plan else set()
    free = {(c.part, c.site): c for c in cells_of(problem, told.emptied, planned)}
    cells = tuple(
        with_asides(one, free.get((one.part, one.site)), problem, seating)
        for one in cells_of(problem, (*told.today, *told.carriers), planned)
    )
    answered = {cell.site for cell in cells}
    return Explorer(
        tuple((item.id, item.part.name or item.part.id) for item in problem.items),
        tuple(
            (site.id, label_of(site), about(problem, site))
            for site in problem.sites
            if site.id in answered
        ),
        cells,
        tuple(taken_as_given(told)),
    )


def taken_as_given(told: AllTold) -> Iterator[str]:
    """Beside what the parts were looked at."""
    if any(one.question.today for one in told.today):
        yield "Each answer is about one part beside what sits in the machines today."
    else:
        yield "Each answer is about one part, with what the plan puts on it, in the empty machine."
    if any(one.verdicts for one in told.carriers):
        yield "Parts that hold others and are in no machine yet are taken to be where they will go."
    yield "The plan shares the receptacles out among all parts together."


def cells_of(
    problem: Problem, answers: Iterable[Told], planned: set[tuple[str, str]]
) -> Iterator[Cell]:
    """A cell a part and receptacle; parts that are alike are named one by one."""
    brackets = any(item.part.plug.form == "opening" for item in problem.items)
    for answer in answers:
        for verdict in answer.verdicts:
            if verdict.site.receptacle.form == "opening" and not brackets:
                continue
            view = verdict_view(answer.question, verdict)
            for name in answer.names:
                pair = (name, verdict.site.id)
                yield cell_of(view, answer.question.part, pair, is_planned=pair in planned)


def cell_of(view: VerdictView, called: str, pair: tuple[str, str], *, is_planned: bool) -> Cell:
    """One part by its own name."""
    name, site = pair
    return Cell(
        name,
        site,
        view.word,
        is_planned,
        tuple(text.replace(called, name) for text in sentences(view)),
        tuple(reason.text.replace(called, name) for reason in view.reasons),
    )


def with_asides(cell: Cell, free: Cell | None, problem: Problem, seating: Seating) -> Cell:
    """What is worth a word beside the verdict."""
    aside = []
    if free:
        said = f"{free.verdict}; {free.says[0]}" if free.says else free.verdict
        aside.append(f"With nothing else in the machine: {said}.")
    if cell.verdict != Word.NO.value:
        aside += wished_otherwise(cell, problem, seating)
    return replace(cell, aside=tuple(aside))


def wished_otherwise(cell: Cell, problem: Problem, seating: Seating) -> Iterator[str]:
    """Why the plan cannot have it there all the same: wishes, which `check` leaves aside."""
    wishes = {
        reason.no.rule: reason.no
        for reason in refused(seating, cell.part, cell.site)
        if BY_ID[reason.no.rule].severity == "asks"
    }
    few = [no for no in wishes.values() if no.cites("wish", "endpoints")]
    for _ in few:
        wanted = problem.item[cell.part].wish.endpoints
        yield f"The build file asks for {wanted} endpoints to be seen."
    for no in wishes.values():
        if no not in few:
            yield f"The build file asks for something else: {no.text}."


def label_of(site: Site) -> str:
    """What is printed beside it."""
    return site.receptacle.label or site.receptacle.id


def about(problem: Problem, site: Site) -> str:
    """`cem, on texts`."""
    many = len(problem.rigs) > 1
    where = f", on {bearer(problem, site)}" if many or not site.on_board else ""
    return f"{site.receptacle.form}{where}"


def bearer(problem: Problem, site: Site) -> str:
    """The machine or part that one can touch."""
    return site.owner if site.on_board else problem.item[site.owner].body
