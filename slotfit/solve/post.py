"""Clauses as rows of the solver's model."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import assert_never

from slotfit.model.clause import AtMost, Clause, ExactlyOne, Needs, arrangement
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.solve.engine import FAR, Model, Term

Variables = Mapping[str, int | None]
"""Atom -> variable; None for an atom that is not to be chosen."""


def weighed(x: Variables, terms: Iterable[tuple[str, int]]) -> list[Term]:
    """
    Atoms and weights as variables and weights.

    Each variable once: atoms that share one are the same choice, and weigh the same.
    """
    found = {v: weight for atom, weight in terms if (v := x[atom]) is not None}
    return list(found.items())


Row = tuple[list[Term], int, int]
"""Terms, and the least and most they may come to."""


def row_of(x: Variables, clause: Clause) -> Row:
    """The clause as one row; of an atom that is not to be chosen there is nothing to say."""
    match clause:
        case AtMost(terms=terms, limit=limit):
            return weighed(x, terms), -FAR, limit
        case Needs(atom=atom, any_of=any_of):
            chosen = x[atom]
            if chosen is None:
                return [], -FAR, 0
            return [(chosen, 1), *weighed(x, ((other, -1) for other in any_of))], -FAR, 0
        case ExactlyOne(atoms=atoms):
            return weighed(x, ((atom, 1) for atom in atoms)), 1, 1
        case _:
            assert_never(clause)


def post(model: Model, x: Variables, clause: Clause, only_if: int | None = None) -> None:
    """Add one clause; with `only_if` it binds only while that variable is 1."""
    terms, low, high = row_of(x, clause)
    if terms or low > 0 or high < 0:
        model.row(terms, low, high, only_if)


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
