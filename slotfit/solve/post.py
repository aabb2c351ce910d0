"""Seats, arrangements and clauses as rows of the solver's model."""

from __future__ import annotations

from collections.abc import Iterable
from typing import assert_never

from slotfit.model.clause import AtMost, Clause, ExactlyOne, Needs, arrangement
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.solve.engine import FAR, Model


def atoms_in(problem: Problem, seating: Seating) -> list[str]:
    """Every atom of the problem, in a fixed order."""
    ways = [
        arrangement(f"{rig.id}/{group.id}", str(way.id))
        for rig in problem.rigs
        for group in rig.board.lane_groups
        for way in group.arrangements
    ]
    return [*(seat.key for seat in seating.seats), *ways]


def post_atoms(model: Model, atoms: Iterable[str]) -> dict[str, int]:
    """One yes-or-no variable an atom."""
    return {atom: model.variable() for atom in atoms}


def post(model: Model, x: dict[str, int], clause: Clause, only_if: int | None = None) -> None:
    """Add one clause; with `only_if` it binds only while that variable is 1."""
    match clause:
        case AtMost(terms=terms, limit=limit):
            model.row([(x[atom], weight) for atom, weight in terms], -FAR, limit, only_if)
        case Needs(atom=atom, any_of=any_of):
            others = [(x[other], -1) for other in any_of]
            model.row([(x[atom], 1), *others], -FAR, 0, only_if)
        case ExactlyOne(atoms=atoms):
            model.row([(x[atom], 1) for atom in atoms], 1, 1, only_if)
        case _:
            assert_never(clause)
