"""
Plans that are as good as the best one: how many, and where each of their parts goes.

Parts that may swap count once, and so do receptacles of a part: what matters is what it sits on.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from slotfit.listing import by_name
from slotfit.model.clause import Clause
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem, Receptacle
from slotfit.model.seat import Seat, Seating
from slotfit.solve.engine import Clock, Manner, Result, Term
from slotfit.solve.frame import Frame, alike, build_frame
from slotfit.solve.prefer import preferred, stage_value

Layout = tuple[tuple[str, str], ...]
"""Part, where it goes: a slot, a kind of receptacle off the row, or the part it sits on."""

Kinds = dict[str, str]
"""Part -> the first of those that may swap with it."""


@dataclass(frozen=True, slots=True)
class Layouts:
    """Layouts that are equally good, the best plan's own first; parts are called as their kind."""

    found: tuple[Layout, ...]
    complete: bool
    """There are no others."""


def equal_layouts(
    problem: Problem,
    seating: Seating,
    clauses: Iterable[Clause],
    plan: Plan,
    at_most: int,
    clock: Clock,
) -> Layouts:
    """Layouts whose every preference comes out as the plan's does, `at_most` of them."""
    frame = build_frame(problem, seating, clauses, in_order=True)
    hold(frame, plan)
    place_of, kind_of = places_of(problem), kinds_of(problem, seating)
    places = by_place(frame, place_of)
    found: dict[Layout, None] = {}
    latest = layout(place_of, plan.seats)
    while True:
        found.setdefault(swapped(latest, kind_of))
        if len(found) >= at_most:
            return Layouts(tuple(found), complete=False)
        rule_out(frame, places, latest)
        answer = clock.solve(frame.model, Manner.LISTING)
        if not answer.values:
            return Layouts(tuple(found), complete=answer.result is Result.INFEASIBLE)
        latest = layout(place_of, frame.chosen(answer.values))


def kinds_of(problem: Problem, seating: Seating) -> Kinds:
    """Which parts may swap."""
    found = {part.id: part.id for part in problem.parts}
    for kind in alike(problem, seating):
        found.update(dict.fromkeys(kind.parts, kind.parts[0]))
    return found


def swapped(known: Layout, kind_of: Kinds) -> Layout:
    """The layout without regard to which of several parts that may swap goes where."""
    return tuple(sorted((kind_of[part], place) for part, place in known))


def hold(frame: Frame, plan: Plan) -> None:
    """Every preference at most what the plan comes to."""
    reached = {stage.stage: stage.value for stage in plan.stages}
    for step in preferred(frame):
        for name, terms in zip(step.names, step.terms, strict=True):
            shift = stage_value(name, 0, 0, frame).value
            frame.model.row(terms, high=reached[name] - shift)


def places_of(problem: Problem) -> dict[str, str]:
    """
    Receptacle -> the place it counts as.

    A slot counts for itself, a receptacle of a part as the part, and receptacles of a board off the
    row that differ in nothing but their names as the first of them.
    """
    firsts: dict[object, str] = {}
    found: dict[str, str] = {}
    for receptacle in sorted(problem.receptacles, key=lambda receptacle: by_name(receptacle.id)):
        if not receptacle.on_board:
            found[receptacle.id] = receptacle.owner
        elif receptacle.row:
            found[receptacle.id] = receptacle.id
        else:
            kind = (receptacle.owner, wiring(problem, receptacle), repr(described(receptacle)))
            found[receptacle.id] = firsts.setdefault(kind, receptacle.id)
    return found


def described(receptacle: Receptacle) -> object:
    """All that is said of a receptacle but what it is called."""
    return sorted(receptacle.spec.model_dump(exclude={"id", "label"}).items())


def wiring(problem: Problem, receptacle: Receptacle) -> object:
    """How its lanes come, if it has a lane group to itself; else something of its own."""
    name = receptacle.spec.id
    group = problem.machine[receptacle.owner].group_of.get(name)
    if group is None:
        return None
    if any(receptacle != name for way in group.arrangements for receptacle in way.gives):
        return receptacle.id
    ways = tuple((way.gives.get(name), way.proof, way.chosen_by) for way in group.arrangements)
    return (group.from_, group.generation, group.bus, ways)


Places = dict[tuple[str, str], list[Term]]
"""Part and place -> the variables that put it there."""


def by_place(frame: Frame, place_of: dict[str, str]) -> Places:
    """The variables by what they mean to people."""
    found: Places = {}
    for seat in frame.seats:
        place = (seat.part, place_of[seat.receptacle])
        found.setdefault(place, []).append((frame.var(seat), 1))
    return found


def layout(place_of: dict[str, str], seats: Iterable[Seat]) -> Layout:
    """Where each part goes."""
    return tuple(sorted((seat.part, place_of[seat.receptacle]) for seat in seats))


def rule_out(frame: Frame, places: Places, known: Layout) -> None:
    """Some part goes elsewhere, or one more or less is placed."""
    here = [term for place in known for term in places[place]]
    others = [
        (variable, -1)
        for place, terms in places.items()
        if place not in known
        for variable, _ in terms
    ]
    frame.model.row([*here, *others], high=len(known) - 1)
