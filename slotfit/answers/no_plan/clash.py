"""Why there is no plan: the reasons that clash, found and told."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import replace

from slotfit.answers.no_plan.answer import Clash, RoomLeft, Sentence
from slotfit.answers.no_plan.case import Case, Reason
from slotfit.answers.no_plan.changed import without
from slotfit.answers.no_plan.sentences import required_parts, row_sums, sentences_of
from slotfit.engine.alike import kinds
from slotfit.errors import InternalError
from slotfit.listing import natural
from slotfit.model.plan import Placed, Status
from slotfit.model.problem import Problem
from slotfit.solve.clash import Core, holds_together, minimal_core
from slotfit.solve.engine import Clock, Result

MANY = 12
"""More parts alike than these are tried in smaller numbers first."""

Placer = Callable[[Problem, float], Placed]
"""Places a problem within so many seconds."""


def with_fewest(problem: Problem, place: Placer, clock: Clock) -> Problem:
    """
    Without as many of the last of many parts alike as leaves it without a plan.

    Only of parts that carry nothing: leaving out what others sit on could be why there is no plan.
    """
    for members in kinds(problem):
        one = problem.part[members[0]]
        if len(members) > MANY and one.wish.required and not one.spec.receptacles:
            problem = fewest(problem, members, place, clock)
    return problem


def surplus(problem: Problem, few: Problem) -> dict[str, int]:
    """First of parts alike -> how many of them must go at least, where some were left out."""
    kept = few.part.keys()
    return {
        members[0]: sum(name not in kept for name in members) + 1
        for members in kinds(problem)
        if not kept >= set(members)
    }


def fewest(problem: Problem, members: tuple[str, ...], place: Placer, clock: Clock) -> Problem:
    """The first so many of the members, found by halving."""
    too_few, enough = 0, len(members)
    while enough - too_few > 1 and clock.left:
        tried = (too_few + enough) // 2
        asked = replace(without(problem, members[tried:]), preferences=())
        if place(asked, clock.left).status is Status.IMPOSSIBLE:
            enough = tried
        else:
            too_few = tried
    return without(problem, members[enough:])


def clash_of(case: Case, clock: Clock, first: int = 1) -> tuple[Clash | None, Core | None]:
    """
    A minimal clash, told, with the names of its reasons; None if time ran out.

    Its sentences are numbered from `first`.

    Raises InternalError if a model made afresh of the reasons alone has a plan.
    """
    # Left out first, late names first: fewer parts make a shorter tale than fewer facts.
    must = [name for name, reason in case.reasons.items() if reason.required]
    bundles = [[name] for name in sorted(must, key=natural, reverse=True)]
    core = minimal_core(case.stated, bundles, clock)
    if core is None:
        return None, None
    if holds_together(case.stated, core.names, clock) not in (Result.INFEASIBLE, Result.UNKNOWN):
        raise InternalError("reasons said to clash do not: " + "; ".join(core.names))
    reasons = [case.reasons[name] for name in core.names]
    sentences = sentences_of(case, reasons, first)
    sums = (*no_form(case, reasons), *row_sums(case, reasons))
    return Clash(sentences, left(case, reasons, sentences), sums, core.minimal), core


def no_form(case: Case, reasons: Sequence[Reason]) -> Iterator[str]:
    """Parts whose plug goes into nothing that is there, whatever is wished."""
    for name in required_parts(case, reasons):
        if not case.seating.by_part.get(name):
            form = case.problem.part[name].spec.plug.form
            yield f"no receptacle of this build takes the plug of {name} ({form})"


def left(
    case: Case, reasons: Sequence[Reason], sentences: Sequence[Sentence]
) -> tuple[RoomLeft, ...]:
    """Where parts of the clash can still go, where single facts take receptacles away from them."""
    refused = {key for reason in reasons for key in reason.seats}
    by_receptacles: dict[tuple[str, ...], list[str]] = {}
    for name in required_parts(case, reasons):
        seats = case.seating.by_part.get(name, [])
        receptacles = {seat.receptacle for seat in seats if seat.key not in refused}
        if receptacles != {seat.receptacle for seat in seats}:
            by_receptacles.setdefault(tuple(sorted(receptacles, key=natural)), []).append(name)
    return tuple(
        RoomLeft(
            tuple(parts),
            receptacles,
            tuple(one.number for one in sentences if not set(parts).isdisjoint(one.refuses)),
        )
        for receptacles, parts in by_receptacles.items()
    )


def but_for(case: Case, names: Sequence[str]) -> Case:
    """
    The case without whatever cites a fact of a clash, to look for one that has other facts.

    The parts of the clash are still to be placed, but not what can only sit on them.
    """
    reasons = [case.reasons[name] for name in names]
    riders = only_on(case, required_parts(case, reasons))
    facts = {fact for reason in reasons if not reason.required for fact in reason.facts}
    gone = {
        reason.name
        for reason in case.reasons.values()
        if not reason.required and (reason.name in names or not facts.isdisjoint(reason.facts))
    } or set(names)
    gone |= {
        reason.name
        for reason in case.reasons.values()
        if reason.required and not set(required_parts(case, [reason])).isdisjoint(riders)
    }
    soft = {name: clauses for name, clauses in case.stated.soft.items() if name not in gone}
    left_over = {name: reason for name, reason in case.reasons.items() if name not in gone}
    return replace(case, reasons=left_over, stated=replace(case.stated, soft=soft))


def only_on(case: Case, owners: Collection[str]) -> list[str]:
    """Required parts that have no seat but on these parts, or on what sits on them."""
    refused = {key for reason in case.reasons.values() for key in reason.seats}
    found: list[str] = []
    for part in case.problem.parts:
        seats = [s for s in case.seating.by_part.get(part.id, []) if s.key not in refused]
        seats = seats or case.seating.by_part.get(part.id, [])
        on_it = [not set(owners).isdisjoint(seat.upstream.carriers) for seat in seats]
        if part.wish.required and part.id not in owners and on_it and all(on_it):
            found.append(part.id)
    return found
