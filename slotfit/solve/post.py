"""Clauses as rows of the solver's model."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import assert_never

from slotfit.model.clause import AtMost, Clause, ExactlyOne, Needs, arrangement
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.solve.engine import Model, Term

Variables = Mapping[str, int | None]
"""Atom -> variable; None for an atom that is not to be chosen."""


def weighed(x: Variables, terms: Iterable[tuple[str, int]]) -> list[Term]:
    """
    Atoms and weights as variables and weights.

    Each variable once: atoms that share one are the same choice, and weigh the same.
    """
    found = {v: weight for atom, weight in terms if (v := x[atom]) is not None}
    return list(found.items())


def post(model: Model, x: Variables, clause: Clause, only_if: int | None = None) -> None:
    """Add one clause; with `only_if` it binds only while that variable is 1."""
    match clause:
        case AtMost(terms=terms, limit=limit):
            model.row(weighed(x, terms), high=limit, only_if=only_if)
        case Needs(atom=atom, any_of=any_of):
            chosen = x[atom]
            if chosen is not None:
                others = weighed(x, ((other, -1) for other in any_of))
                model.row([(chosen, 1), *others], high=0, only_if=only_if)
        case ExactlyOne(atoms=atoms):
            model.row(weighed(x, ((atom, 1) for atom in atoms)), 1, 1, only_if)
        case _:
            assert_never(clause)


def atoms_in(problem: Problem, seating: Seating) -> list[str]:
    """Every atom of the problem, in a fixed order."""
    ways = [arrangement(group, way) for group, way in ways_in(problem)]
    return [*(seat.key for seat in seating.seats), *ways]


def ways_in(problem: Problem) -> Iterator[tuple[str, str]]:
    """Every lane group (`machine/group`) with each of its arrangements."""
    for rig in problem.rigs:
        for group in rig.board.lane_groups:
            for way in group.arrangements:
                yield f"{rig.id}/{group.id}", str(way.id)


def post_atoms(model: Model, atoms: Iterable[str]) -> dict[str, int]:
    """One yes-or-no variable an atom."""
    return {atom: model.variable() for atom in atoms}
