"""
What to give up so that the rest holds: every set of so many changes that may do.

A change lifts some reasons. Sets are listed by ruling out each one found, on a model without an
objective: a caller who asks for one change, then for two, finds the smallest. A change may really
do less than it lifts (a wish taken back leaves what the part itself needs), so each set is a
candidate, and what is not in the list is no way out of that size.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slotfit.solve.clash import Stated
from slotfit.solve.clock import Clock
from slotfit.solve.engine import FAR, Manner, Model, Result
from slotfit.solve.post import post, post_atoms


@dataclass(frozen=True, slots=True)
class Corrections:
    """Sets of changes, all of one size."""

    sets: tuple[tuple[str, ...], ...]
    complete: bool
    """There are no more of this size."""


def corrections(
    stated: Stated, lifts: Mapping[str, frozenset[str]], size: int, at_most: int, clock: Clock
) -> Corrections:
    """
    All sets of `size` changes that may do, or `at_most` of them.

    `lifts` has, for each change (an atom of its own), the names of the reasons it lifts.
    """
    model, changed = switched(stated, lifts)
    model.row([(variable, 1) for variable in changed.values()], size, size)
    # Of single changes there are few answers; presolve pays only where there are many.
    manner = Manner.YES_OR_NO if size == 1 else Manner.LISTING
    return listed(model, changed, clock, at_most, manner)


def switched(stated: Stated, lifts: Mapping[str, frozenset[str]]) -> tuple[Model, dict[str, int]]:
    """The model in which every reason holds unless a change that lifts it is made."""
    model = Model()
    x = post_atoms(model, stated.atoms)
    changed = {name: x[name] for name in lifts}
    for clause in stated.hard:
        post(model, x, clause)
    for name, clauses in stated.soft.items():
        ways = [(changed[change], 1) for change, lifted in lifts.items() if name in lifted]
        switch = model.variable() if ways else None
        if switch is not None:
            model.row([(switch, 1), *ways], 1)
        for clause in clauses:
            post(model, x, clause, switch)
    return model, changed


def listed(
    model: Model, changed: Mapping[str, int], clock: Clock, at_most: int, manner: Manner
) -> Corrections:
    """One set after another until there are no more."""
    sets: list[tuple[str, ...]] = []
    while len(sets) < at_most:
        found = clock.solve(model, manner)
        if found.result is Result.INFEASIBLE:
            return Corrections(tuple(sets), complete=True)
        if not found.values:
            break
        made = tuple(name for name, variable in changed.items() if found.values[variable])
        sets.append(made)
        model.row([(changed[name], 1) for name in made], -FAR, len(made) - 1)
    return Corrections(tuple(sets), complete=False)
