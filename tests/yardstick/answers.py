"""
What the library answers to a build, as plain values: the one place here that calls it.

No rule's id and no wording is among them: a fact is told by where it is written and by the parts
that hang on it, a way out by what it changes in the build and by where the parts go then.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from slotfit import api
from slotfit.answers.no_plan.answer import Clash, WayOut
from slotfit.answers.no_plan.explain import Findings
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.place.plan import best_plan
from slotfit.answers.sequence.answer import NoWay
from slotfit.answers.sequence.no_way import no_way
from slotfit.answers.sequence.referee import faults
from slotfit.answers.sequence.task import ends_of
from slotfit.errors import InputError, Mistake
from slotfit.load.build_file import load_build, load_build_text
from slotfit.load.catalog import Catalog, standard_catalog
from slotfit.model.entity import Span
from slotfit.model.plan import Placed, Status
from slotfit.model.problem import Problem
from slotfit.model.reason import Doubt
from slotfit.model.seat import Seat
from slotfit.model.windows import Schedule, Totals, Window
from slotfit.solve.engine import Clock
from slotfit.solve.place import silent
from slotfit.solve.windows import schedule

Values = dict[str, Any]
"""Names, numbers, truths, and lists and mappings of them."""

SECONDS = 3600.0
"""More than any search here takes: none may end by the clock."""

PROVEN = (Status.PROVEN, Status.IMPOSSIBLE)


class NotProvenError(Exception):
    """Something was not searched to the end."""


@cache
def catalog() -> Catalog:
    """What came along, without the user's own."""
    return standard_catalog(())


@cache
def shop() -> Shop:
    """All of it can be bought."""
    return Shop(catalog())


def problem_in(file: Path) -> Problem:
    """The build of a file."""
    return load_build(file, catalog())


def problem_of(text: str, file: str, beside: Path | None = None) -> Problem:
    """The build of a text that calls itself so; paths in it start from the folder `beside`."""
    return load_build_text(text, catalog(), file, beside)


def answers(problem: Problem) -> Values:
    """
    Everything that is answered: `plan`, `clash`, `ways`, `sequence` and `spans`.

    The first four name what they cite by file and line; `spans` has the columns as well. Raises
    NotProvenError.
    """
    cited: set[Span] = set()
    placed = best_plan(problem, SECONDS)
    insist(placed.status in PROVEN)
    found: Values = {"plan": plan_of(placed, cited)}
    if placed.status is Status.IMPOSSIBLE:
        told = api.explain(problem, shop(), SECONDS)
        insist(not told.stopped)
        found["clash"] = {
            "clashes": [clash_of(clash, cited) for clash in told.clashes],
            "further": told.further,
        }
        found["ways"] = ways_of(problem, told)
    if problem.today:
        found["sequence"] = sequence_of(problem, cited)
    return found | {"spans": sorted(map(exact, cited))}


def insist(proven: bool) -> None:
    """Raises NotProvenError where something was not searched to the end."""
    if not proven:
        raise NotProvenError


# --- where -------------------------------------------------------------------


def place_of(text: str) -> Span:
    """A place in a file from `file:line:column`."""
    file, line, column = text.rsplit(":", 2)
    return Span(file, int(line), int(column))


def exact(span: Span) -> str:
    """A place in a file, wherever the checkout lies."""
    return f"{Path(span.file).name}:{span.line}:{span.column}"


def lines(spans: Iterable[Span | None], cited: set[Span]) -> list[str]:
    """Lines in files; the exact places are noted as cited."""
    known = {span for span in spans if span}
    cited |= known
    return sorted({f"{Path(span.file).name}:{span.line}" for span in known})


# --- the plan ----------------------------------------------------------------


def plan_of(placed: Placed, cited: set[Span]) -> Values:
    """The plan, or that there is none."""
    plan = placed.plan
    if plan is None:
        return {"status": placed.status.value}
    return {
        "status": placed.status.value,
        "seats": seats_of(plan.seats),
        "arrangements": {str(group): way for group, way in plan.arrangements.items()},
        "links": {seat.part: links_of(seat) for seat in plan.seats if seat.links},
        "costs": {stage.stage: stage.value for stage in plan.stages if stage.value},
        "facts": facts_of(plan.facts, plan.seats, cited),
    }


def seats_of(seats: Iterable[Seat]) -> dict[str, str]:
    """Part -> receptacle."""
    return {seat.part: seat.receptacle for seat in seats}


def links_of(seat: Seat) -> str:
    """What its links train at: lanes and generation, `4/3+0`."""
    return "+".join(f"{one.lanes}/{one.generation}" if one.lanes else "0" for one in seat.links)


def facts_of(facts: Iterable[Doubt], seats: Iterable[Seat], cited: set[Span]) -> list[list[str]]:
    """Each unproven fact: where it is written, if it is, then the parts that hang on it."""
    resting: dict[tuple[str, ...], set[str]] = {}
    for seat in seats:
        for fact in seat.facts:
            resting.setdefault(fact.id, set()).add(seat.part)
    return sorted(
        [*(lines([fact.span], cited) or [""]), *sorted(resting.get(fact.id, ()))] for fact in facts
    )


# --- no plan -----------------------------------------------------------------


def clash_of(clash: Clash, cited: set[Span]) -> Values:
    """What clashes: where it is written, and the parts and receptacles it is about."""
    told = clash.sentences
    return {
        "where": lines((place_of(text) for one in told for text in one.says.where), cited),
        "refused": sorted({part for one in told for part in one.refuses}),
        "left": sorted([list(left.items), list(left.sites)] for left in clash.left),
        "minimal": clash.minimal,
    }


def ways_of(problem: Problem, told: Findings) -> Values:
    """The ways out, those worked out and those only named."""
    return {
        "worked_out": [way_of(problem, way) for way in told.found.ways],
        "more": [[step.kind for step in steps] for steps in told.found.more],
        "size": told.found.size,
        "complete": told.found.complete,
    }


def way_of(problem: Problem, way: WayOut) -> Values:
    """One way out: its kinds, what it changes, what else might be bought, the plan then."""
    answer = way.placed
    insist(answer.status in PROVEN)
    return {
        "kinds": [step.kind for step in way.steps],
        "changes": changes(asked_of(problem), asked_of(way.placed.problem)),
        "or": [name for step in way.steps for name in step.others],
        "seats": seats_of(answer.plan.seats) if answer.plan else {},
    }


def asked_of(problem: Problem) -> Values:
    """What a way out may change, flat: name -> value."""
    found: Values = {}
    for part in problem.parts:
        wish = part.wish.model_dump(mode="json", exclude_defaults=True, exclude={"id", "part"})
        found[part.id] = part.spec.id
        found |= {f"{part.id}:{key}": value for key, value in wish.items()}
    for machine in problem.machines:
        found[f"{machine.id}:board"] = machine.board.id
        found[f"{machine.id}:chassis"] = machine.chassis.id if machine.chassis else None
        found[f"{machine.id}:supply"] = machine.power_supply.id if machine.power_supply else None
        found[f"{machine.id}:processors"] = sorted(machine.fitted)
    for key, groups in (("together", problem.together), ("apart", problem.apart)):
        found |= {f"{key}:{'+'.join(sorted(one.parts))}": one.by for one in groups}
    return found


def changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> Values:
    """What is otherwise: name -> value then; None for what is gone."""
    names = sorted({*before, *after})
    return {name: after.get(name) for name in names if before.get(name) != after.get(name)}


# --- on the way --------------------------------------------------------------


def sequence_of(problem: Problem, cited: set[Span]) -> Values:
    """Windows from today's layout, or what stands against them, or what is wrong in the file."""
    try:
        ends = ends_of(problem, Clock(SECONDS))
    except InputError as error:
        return {"wrong": lines(spans_of(error.mistakes), cited)}
    if ends.task is None:
        insist(ends.goal is not None and ends.goal.status in PROVEN)
        return {"status": ends.goal.status.value if ends.goal else ""}
    made = schedule(ends.task, Clock(SECONDS), silent)
    insist(made.status in PROVEN)
    if made.schedule:
        insist(not list(faults(ends.task, made.schedule)))
        return {"status": made.status.value, **schedule_of(made.schedule, cited)}
    why = no_way(ends.task, made, shop().parts("carrier"), Clock(SECONDS), silent)
    ruled_out = {"ruled_out": made.ruled_out}
    return {"status": made.status.value, **ruled_out, **no_way_of(why)}


def spans_of(mistakes: Iterable[Mistake]) -> Iterator[Span]:
    """Where mistakes are."""
    yield from (one.where for one in mistakes if isinstance(one.where, Span))


def schedule_of(schedule: Schedule, cited: set[Span]) -> Values:
    """Windows, with what they cost and rest on."""
    seats = [seat for layout in schedule.layouts for seat in layout.seats]
    totals = schedule.totals
    return {
        "windows": [window_of(window) for window in schedule.windows],
        "copied": list(schedule.copied),
        "totals": totals_of(totals),
        "facts": facts_of(schedule.facts, seats, cited),
    }


def window_of(window: Window) -> Values:
    """What comes out and goes in where, while which machines are off."""
    moves = {move.item: [move.before, move.after] for move in window.moves}
    settings = {str(one.where): [str(one.before.id), str(one.after.id)] for one in window.changes}
    return {"off": list(window.off), "moves": moves, "settings": settings}


def no_way_of(why: NoWay) -> Values:
    """How much is demanded in vain, which ends have no room together, what helps."""
    insist(why.complete)
    return {
        "demands": len(why.demands),
        "minimal": why.minimal,
        "apart": [{"machine": one.machine, "beside": list(one.beside)} for one in why.apart],
        "helps": [totals_of(one.totals) for one in why.helps],
    }


def totals_of(totals: Totals) -> list[int]:
    """What a sequence costs, figure by figure."""
    return [totals.windows, totals.touches, totals.reduced, totals.facts, totals.downs]
