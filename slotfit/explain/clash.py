"""Why there is no plan: the reasons that clash, found and told."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from slotfit.errors import InternalError
from slotfit.explain.reasons import Case, Reason
from slotfit.explain.room import required_items
from slotfit.explain.sentences import sentences_of
from slotfit.explain.told import Clash, Left
from slotfit.explain.totals import row_sums
from slotfit.natural_order import natural
from slotfit.solve.clash import Core, holds_together, minimal_core
from slotfit.solve.clock import Clock
from slotfit.solve.engine import Result


def clash_of(case: Case, clock: Clock) -> tuple[Clash | None, Core | None]:
    """
    A minimal clash, told, with the names of its reasons; None if time ran out.

    Raises InternalError if a model made afresh of the reasons alone has a plan.
    """
    core = minimal_core(case.stated, bundles(case), clock)
    if core is None:
        return None, None
    if holds_together(case.stated, core.names, clock) not in (Result.INFEASIBLE, Result.UNKNOWN):
        raise InternalError("reasons said to clash do not: " + "; ".join(core.names))
    return told(case, core), core


def bundles(case: Case) -> list[list[str]]:
    """
    What to leave out first: part by part the requirement to place it, late names first.

    Fewer parts make a shorter tale than fewer facts.
    """
    must = [name for name, reason in case.reasons.items() if reason.rule == "WISH007"]
    return [[name] for name in sorted(must, key=natural, reverse=True)]


def told(case: Case, core: Core) -> Clash:
    """The clash in words."""
    reasons = [case.reasons[name] for name in core.names]
    return Clash(
        sentences_of(case, reasons),
        left(case, reasons),
        (*no_form(case, reasons), *row_sums(case, reasons)),
        core.minimal,
    )


def no_form(case: Case, reasons: Sequence[Reason]) -> Iterator[str]:
    """Parts whose plug goes into nothing that is there, whatever is wished."""
    for name in required_items(case, reasons):
        if not case.seating.by_item.get(name):
            form = case.problem.item[name].part.plug.form
            yield f"no receptacle of this build takes the plug of {name} ({form})"


def left(case: Case, reasons: Sequence[Reason]) -> tuple[Left, ...]:
    """Where parts of the clash can still go, where single facts take receptacles away from them."""
    refused = {key for reason in reasons for key in reason.seats}
    by_sites: dict[tuple[str, ...], list[str]] = {}
    for name in required_items(case, reasons):
        seats = case.seating.by_item.get(name, [])
        sites = {seat.site for seat in seats if seat.key not in refused}
        if sites != {seat.site for seat in seats}:
            by_sites.setdefault(tuple(sorted(sites, key=natural)), []).append(name)
    return tuple(Left(tuple(items), sites) for sites, items in by_sites.items())


def without_reasons(case: Case, names: Sequence[str]) -> Case:
    """The case as if these reasons were not there."""
    gone = frozenset(names)
    soft = {name: clauses for name, clauses in case.stated.soft.items() if name not in gone}
    reasons = {name: reason for name, reason in case.reasons.items() if name not in gone}
    return replace(case, reasons=reasons, stated=replace(case.stated, soft=soft))
