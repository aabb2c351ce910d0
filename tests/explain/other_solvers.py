"""The same clauses in other solvers' words: HiGHS by way of scipy, and CPMpy's constraints."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import cpmpy
import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from slotfit.model.clause import AtMost, Clause, ExactlyOne, Needs
from slotfit.solve.clash import Stated

Row = tuple[dict[str, int], float, float]


def row_of(clause: Clause) -> Row:
    """Weights by atom, least and most."""
    weights: dict[str, int] = {}
    match clause:
        case AtMost(terms=terms, limit=limit):
            for atom, weight in terms:
                weights[atom] = weights.get(atom, 0) + weight
            return weights, -np.inf, limit
        case Needs(atom=atom, any_of=any_of):
            weights = dict.fromkeys(any_of, -1)
            weights[atom] = weights.get(atom, 0) + 1
            return weights, -np.inf, 0
        case ExactlyOne(atoms=atoms):
            return dict.fromkeys(atoms, 1), 1, 1


def highs_can_hold(stated: Stated, names: Iterable[str]) -> bool:
    """HiGHS' word; without presolve, which has called feasible models infeasible."""
    kept = [*stated.hard, *(clause for name in names for clause in stated.soft[name])]
    rows = [row_of(clause) for clause in kept]
    column = {atom: number for number, atom in enumerate(stated.atoms)}
    cells = [(n, column[atom], w) for n, (row, _, _) in enumerate(rows) for atom, w in row.items()]
    lines, columns, weights = zip(*cells, strict=True) if cells else ((), (), ())
    matrix = coo_array((weights, (lines, columns)), shape=(len(rows), len(column)))
    answer = milp(
        np.zeros(len(column)),
        integrality=np.ones(len(column)),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(
            matrix.tocsr(), [low for _, low, _ in rows], [high for _, _, high in rows]
        ),
        options={"presolve": False},
    )
    assert answer.status in (0, 2), answer.message
    return bool(answer.status == 0)


def in_cpmpy(stated: Stated) -> tuple[list[Any], Mapping[str, Any]]:
    """What always holds, and for each reason a switch that turns it on."""
    x = {atom: cpmpy.boolvar(name=f"v{number}") for number, atom in enumerate(stated.atoms)}
    switches = {name: cpmpy.boolvar(name=f"r{n}") for n, name in enumerate(stated.soft)}
    hard = [constraint(clause, x) for clause in stated.hard]
    for name, clauses in stated.soft.items():
        hard += [switches[name].implies(constraint(clause, x)) for clause in clauses]
    return hard, switches


def constraint(clause: Clause, x: Mapping[str, Any]) -> Any:
    """One clause as CPMpy's users would write it."""
    match clause:
        case AtMost(terms=terms, limit=limit):
            return cpmpy.sum([weight * x[atom] for atom, weight in terms] or [0]) <= limit
        case Needs(atom=atom, any_of=any_of):
            return x[atom].implies(cpmpy.any([x[other] for other in any_of] or [False]))
        case ExactlyOne(atoms=atoms):
            return cpmpy.sum([x[atom] for atom in atoms] or [0]) == 1
