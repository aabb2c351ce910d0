"""Typical figures on which a finished plan rests: with a little more it would not stand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from slotfit.answers.place.answer import TypicalFigure
from slotfit.model.clause import arrangement, holds
from slotfit.model.entity import Entity
from slotfit.model.part import PartSpec
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem
from slotfit.model.reason import No
from slotfit.model.seat import Seating
from slotfit.model.spread import Spread
from slotfit.model.units import unit_named
from slotfit.rule import trial_of
from slotfit.rulebook import PLAN_RULES, SEAT_RULES
from slotfit.standards.source import trust_of

MORE = 1.25
"""So much more than is typical a part of the class may have (common practice, no source)."""


def typical_figures(problem: Problem, plan: Plan) -> Iterator[TypicalFigure]:
    """Each figure marked typical that would break the plan if it were a little more."""
    kinds = {seat.part: problem.part[seat.part].spec for seat in plan.seats}
    for spec in {spec.id: spec for spec in kinds.values()}.values():
        for field, figure, more in a_little_more(spec):
            changed = with_kind(problem, spec, more)
            if broken := next(reasons_against(changed, plan, spec), None):
                items = tuple(name for name, its in kinds.items() if its.id == spec.id)
                unit = unit_named(field)
                yield TypicalFigure(items, field, figure, unit, tuple(limits(broken)))


def a_little_more(spec: PartSpec) -> Iterator[tuple[str, float, PartSpec]]:
    """Each figure that its source calls typical, and the part with a little more of it."""
    for name, value in spec:
        if trust_of(spec.sources.get(name, "")) == "typical":
            for field, figure, made in grown(name, value):
                yield field, figure, spec.model_copy(update={name: made})


def grown(name: str, value: object) -> Iterator[tuple[str, float, object]]:
    """A figure, or each of several, and what stands there with a little more of it."""
    if isinstance(value, Entity):
        for field, figure in value:
            for _, inner, made in grown(field, figure):
                yield field, inner, value.model_copy(update={field: made})
    elif isinstance(value, float) and not isinstance(value, Spread):
        yield name, value, value * MORE


def with_kind(problem: Problem, spec: PartSpec, changed: PartSpec) -> Problem:
    """The problem in which a kind of part is another."""
    parts = (replace(one, spec=changed) if one.spec.id == spec.id else one for one in problem.parts)
    return replace(problem, parts=tuple(parts))


def reasons_against(problem: Problem, plan: Plan, spec: PartSpec) -> Iterator[No]:
    """What rules have against the plan in a problem that is a little other than its own."""
    for seat in plan.seats:
        if problem.part[seat.part].spec.id == spec.id:
            said = (one for rule in SEAT_RULES for one in rule.judge(trial_of(problem, seat)))
            yield from (one for one in said if isinstance(one, No))
    chosen = {seat.key for seat in plan.seats}
    chosen |= {arrangement(group, way) for group, way in plan.arrangements.items()}
    only = (replace(s, parents=tuple(k for k in s.parents if k in chosen)) for s in plan.seats)
    seating = Seating(tuple(only), ())
    for rule in PLAN_RULES:
        yield from (one.reason for one in rule.state(problem, seating) if not holds(one, chosen))


def limits(no: No) -> Iterator[str]:
    """The figures that the part is held to, each with the thing that has it."""
    for fact in no.facts:
        value, name = fact.value, fact.written[1]
        if fact.role not in ("part", "kind") and isinstance(value, int | float):
            yield f"{fact.thing}: {name} {value:g} {unit_named(name)}".rstrip()
